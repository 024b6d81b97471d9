"""A drum in another finite-element model than the program's own, to try the bench advice on.

Of `modal/` only the Lanczos iteration and the choice of threads are used, which know no drum: not its mesh, spaces,
frame and tongues, or extrapolation. The drum is solids of the geometry kernel (true cylinders for bores), meshed
afresh in curved tetrahedra each time anything was cut. The top is glued to the walls by a soft band: springs on the
glued faces. A mass of air clings to the top. Every state is one whole solve, so what a bore does near a root, on a
weakened tongue or to a neighbour owes nothing to the reductions by which the adviser works.

Lengths in mm, and with them newtons, seconds and tonnes; x along the top, y across, z up from the top's underside.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import netgen.occ as occ
import ngsolve as ng
import numpy as np
import shapely
from numpy.typing import NDArray

from kerftone.drum.design import TIP_WEIGHT_MM, Bore, Drum
from kerftone.drum.outline import Outline, outline, strike_point
from kerftone.drum.seat import seat_mm
from kerftone.modal.eigen import lanczos
from kerftone.modal.threads import solver_threads
from kerftone.wood.elastic import Elastic

Array = NDArray[np.floating[Any]]
GPA, TONNE = 1e3, 1e-3
"""In millimetres, newtons, seconds and tonnes: a GPa, and a kilogram. Cubic millimetres are 10⁻⁹ m³."""
AIR_KG_M2 = 0.03
"""The air that moves with each face of the top, for each area of it: that of a strip 40 to 50 mm wide (density of air
times about half its width; own judgement)."""
OUTLINE_MM = 0.02
"""How far chords may stray from the curves of the outline."""
VOIGT = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


@dataclass(frozen=True, kw_only=True)
class Solver:
    """How finely, how softly glued, and with how much air. Sizes in mm; glue in N/m³ (stress for a millionth of a
    metre, times 10⁶).

    Glue: a film of some tenths of a millimetre of a polymer of 1 to 3 GPa would be 10¹³; a joint that is starved, or
    touches only here and there, a tenth or a hundredth of that. Own judgement, no source.
    """

    order: int = 2
    tongue_mm: float = 14.0
    corner_mm: float = 3.0
    bore_mm: float = 6.0
    box_mm: float = 40.0
    glue_normal: float = 1e12
    glue_shear: float = 4e11
    air_kg_m2: float = AIR_KG_M2


@dataclass(frozen=True, kw_only=True)
class Heard:
    """The modes as far as hearing needs them: Hz (n,), motion at each strike point and air pushed (t, n).

    shapes (unknowns, n), while the system lives; else empty.
    """

    hz: Array
    strike: Array
    sweep: Array
    shapes: Array
    seconds: float

    def notes_hz(self) -> list[float]:
        """What each tongue sounds: the mode that a blow near its tip drives most, weighed by the air it pushes."""
        return [float(hz) for hz in self.hz[np.argmax((self.strike * self.sweep) ** 2, axis=1)]]


def swept(
    drum: Drum,
    stiff: Sequence[float],
    heavy: Sequence[float],
    solver: Solver,
    tongue: int,
    stiffer: Sequence[float],
) -> list[float]:
    """What one tongue sounds if its wood were so many times as stiff, in Hz: in the motions of the modes found."""
    drawn = outline(drum, tolerance_mm=OUTLINE_MM)
    with solver_threads():
        system = _System(_mesh(drum, drawn, solver), drum, stiff, heavy, solver)
        found = system.modes(drawn, 3 * len(drum.tongues) + 12)
        own = system.energies(tongue, found.shapes)
    heard = []
    for factor in stiffer:
        values, mix = np.linalg.eigh(np.diag((2.0 * math.pi * found.hz) ** 2) + (factor - 1.0) * own)
        moved = replace(
            found,
            hz=np.sqrt(values) / (2.0 * math.pi),
            strike=found.strike @ mix,
            sweep=found.sweep @ mix,
        )
        heard.append(moved.notes_hz()[tongue])
    return heard


def modes(drum: Drum, stiff: Sequence[float], heavy: Sequence[float], solver: Solver, *, count: int) -> Heard:
    """The lowest `count` modes of a drum whose tongues have grains of their own: factors of stiffness and mass."""
    began = time.perf_counter()
    drawn = outline(drum, tolerance_mm=OUTLINE_MM)
    with solver_threads():
        mesh = _mesh(drum, drawn, solver)
        found = _System(mesh, drum, stiff, heavy, solver).modes(drawn, count)
    return replace(found, shapes=np.zeros((0, 0)), seconds=time.perf_counter() - began)


def _mesh(drum: Drum, drawn: Outline, solver: Solver) -> ng.Mesh:
    shape = occ.Glue([*_top(drum, drawn, solver), *_box(drum, solver)])
    geometry = occ.OCCGeometry(shape)
    mesh = ng.Mesh(
        geometry.GenerateMesh(maxh=solver.box_mm, grading=0.6, curvaturesafety=1.0, quad_dominated=False)
    )
    mesh.Curve(2)
    return mesh


def _top(drum: Drum, drawn: Outline, solver: Solver) -> list[Any]:
    """The top parted into tongues and what holds them, bores taken out of both."""
    thick = drum.top.thickness_mm
    rest = drawn.top.difference(shapely.union_all(drawn.tongues), grid_size=1e-6)
    pieces = [("frame", rest), *((f"tongue {n}", shape) for n, shape in enumerate(drawn.tongues, start=1))]
    bits = [_bit(bore, solver) for bore in drum.bores]
    solids = []
    for name, plan in pieces:
        for part in getattr(plan, "geoms", [plan]):
            solid = _raised(part, 0.0, thick)
            for bit in bits:
                solid = solid - bit
            _refine(_named(solid, name, solver.tongue_mm), drawn, solver.corner_mm)
            for face in solid.faces:
                if face.center.z > thick - 1e-6:
                    face.name = f"upper {name}"
                elif abs(face.center.z) < 1e-6:
                    face.name = "under"
            solids.append(solid)
    return solids


def _bit(bore: Bore, solver: Solver) -> Any:
    """What a bore takes, started a little below the underside."""
    start = occ.Pnt(bore.x_mm, bore.y_mm, -1.0)
    bit = occ.Cylinder(start, occ.Z, r=0.5 * bore.diameter_mm, h=bore.depth_mm + 1.0)
    for face in bit.faces:
        face.maxh = solver.bore_mm
    return bit


def _refine(solid: Any, drawn: Outline, corner_mm: float) -> None:
    """Small cells along the ends of the slots, where stress has no bound."""
    for edge in solid.edges:
        for x, y in _corners(drawn):
            if all(math.hypot(end.x - x, end.y - y) < 0.01 for end in (edge.start, edge.end)):
                edge.maxh = corner_mm


def _corners(drawn: Outline) -> list[tuple[float, float]]:
    """Where the slots end."""
    half = 0.5 * (drawn.layout.row_pitch_mm - drawn.layout.tongue_width_mm)
    return [(x, y + side) for low, high, y in drawn.slot_lines for x in (low, high) for side in (-half, half)]


def _box(drum: Drum, solver: Solver) -> list[Any]:
    """Four walls, root bars and the bottom: front and back run the whole length."""
    x0, y0, x1, y1 = _outer(drum)
    wall, high = drum.box.wall_mm, drum.box.height_mm
    parts = [
        ("wall x", (x0, y0, x1, y0 + wall)),
        ("wall x", (x0, y1 - wall, x1, y1)),
        ("wall y", (x0, y0 + wall, x0 + wall, y1 - wall)),
        ("wall y", (x1 - wall, y0 + wall, x1, y1 - wall)),
    ]
    solids = []
    for name, bounds in parts:
        solid = _raised(shapely.box(*bounds), -high, high)
        if drum.box.mount == "in ledge":
            lip = _raised(shapely.box(*bounds).difference(_board(drum)), 0.0, drum.top.thickness_mm)
            solid = solid + lip
        solids.append(_named(solid, name, solver.box_mm))
    bar, deep = drum.box.root_bar_mm, min(drum.box.root_bar_height_mm, high)
    if bar > 0.0:
        for near in (x0 + wall, x1 - wall - bar):
            plan = shapely.box(near, y0 + wall, near + bar, y1 - wall)
            solids.append(_named(_raised(plan, -deep, deep), "wall y", solver.box_mm))
    low = -high
    if drum.bottom is not None:
        thick = drum.bottom.thickness_mm
        low -= thick
        plate = _raised(shapely.box(x0, y0, x1, y1), -high - thick, thick)
        solids.append(_named(plate, "bottom", solver.box_mm))
    for solid in solids:
        for face in solid.faces:
            if face.center.z < low + 1e-6:
                face.name = "base"
    return solids


def _board(drum: Drum) -> Any:
    return shapely.box(0.0, 0.0, drum.top.length_mm, drum.top.width_mm)


def _outer(drum: Drum) -> tuple[float, float, float, float]:
    beyond = 0.0 if drum.box.mount == "on walls" else drum.box.wall_mm - seat_mm(drum)
    return -beyond, -beyond, drum.top.length_mm + beyond, drum.top.width_mm + beyond


def _named(solid: Any, name: str, maxh: float) -> Any:
    for piece in solid.solids:
        piece.name = name
        piece.maxh = maxh
    return solid


def _raised(plan: Any, low: float, high: float) -> Any:
    """A polygon of the plan, with its holes, from z = low up by `high`."""
    face = occ.Face(_ring(plan.exterior.coords, low))
    for hole in plan.interiors:
        face = face - occ.Face(_ring(hole.coords, low))
    return face.Extrude(high * occ.Z)


def _ring(coords: Any, z: float) -> Any:
    points = [occ.Pnt(x, y, z) for x, y in list(coords)[:-1]]
    return occ.Wire([occ.Segment(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)])


class _System:
    """Stiffness and mass of a mesh. The top and the box each have unknowns of their own on the glued faces."""

    def __init__(
        self, mesh: ng.Mesh, drum: Drum, stiff: Sequence[float], heavy: Sequence[float], solver: Solver
    ) -> None:
        self.drum = drum
        over, under = "frame|tongue.*", "wall.*|bottom"
        held = "base" if drum.box.stands == "held" else ""
        self.top = ng.Compress(ng.VectorH1(mesh, order=solver.order, definedon=over))
        self.space = self.top * ng.Compress(
            ng.VectorH1(mesh, order=solver.order, definedon=under, dirichlet=held)
        )
        wood = _woods(drum, stiff, heavy)
        c = mesh.MaterialCF(
            {name: ng.CF(tuple(matrix.ravel()), dims=(6, 6)) for name, (matrix, _) in wood.items()}
        )
        rho = mesh.MaterialCF({name: 1e-9 * TONNE * density for name, (_, density) in wood.items()})
        (u, w), (v, z) = self.space.TnT()
        glued = mesh.Materials(over).Boundaries() * mesh.Materials(under).Boundaries()
        level = ng.specialcf.normal(3)[2] ** 2  # the lip round a top let in is left with air between
        pull = (solver.glue_shear, solver.glue_shear, solver.glue_normal)
        self.shift = 0.0 if held else (2.0 * math.pi * 60.0) ** 2
        shifted = ng.BilinearForm(self.space, symmetric=True)
        mass = ng.BilinearForm(self.space, symmetric=True)
        for trial, test, where in ((u, v, over), (w, z, under)):
            part = mesh.Materials(where)
            weight = rho * ng.InnerProduct(trial, test)
            energy = ng.InnerProduct(c * _strain(trial), _strain(test)) + self.shift * weight
            shifted += energy.Compile() * ng.dx(definedon=part)
            mass += weight.Compile() * ng.dx(definedon=part)
        for axis, spring in enumerate(pull):
            stretch = (u[axis] - w[axis]) * (v[axis] - z[axis])
            shifted += 1e-9 * level * spring * stretch * ng.ds(definedon=glued)
        air = 1e-6 * TONNE * solver.air_kg_m2 * u[2] * v[2]
        shifted += self.shift * air * ng.ds("upper.*|under")
        mass += air * ng.ds("upper.*|under")
        self.mass = mass.Assemble().mat
        shifted.Assemble()
        self.trials = (u, v, c)
        free = self.space.FreeDofs()
        self.free = np.array([free[n] for n in range(self.space.ndof)], dtype=float)
        self.inverse = shifted.mat.Inverse(free, inverse="sparsecholesky")
        self.given, self.got = (shifted.mat.CreateColVector() for _ in range(2))

    def modes(self, drawn: Outline, count: int) -> Heard:
        """The lowest modes, rigid ones left out."""
        strike = self._rows([self._lift(x, y) for x, y in drawn.strike_points])
        sweep = self._rows([ng.ds(f"upper tongue {n}") for n in range(1, len(drawn.tongues) + 1)])
        weights = self._weights(drawn)

        def heavy(vector: Array) -> Array:
            return self._times(self.mass, vector) * self.free + weights.T @ (weights @ vector)

        more = count + (6 if self.shift else 0)
        start = np.random.default_rng(0).standard_normal(self.space.ndof) * self.free
        # Weights are left out of the factor: some grams beside some kilograms change its shift by nothing much.
        values, shapes = lanczos(lambda load: self._times(self.inverse, load), heavy, start, count=more)
        values, shapes = values - self.shift, shapes.T
        order = np.argsort(values)
        values, shapes = values[order], shapes[:, order]
        lasting = values > (2.0 * math.pi * 10.0) ** 2
        return Heard(
            hz=np.sqrt(values[lasting]) / (2.0 * math.pi),
            strike=strike @ shapes[:, lasting],
            sweep=sweep @ shapes[:, lasting],
            shapes=shapes[:, lasting],
            seconds=0.0,
        )

    def energies(self, tongue: int, shapes: Array) -> Array:
        """What one tongue's wood adds to the stiffness of these modes (n, n)."""
        u, v, c = self.trials
        form = ng.BilinearForm(self.space, symmetric=True)
        where = self.top.mesh.Materials(f"tongue {tongue + 1}")
        form += ng.InnerProduct(c * _strain(u), _strain(v)).Compile() * ng.dx(definedon=where)
        matrix = form.Assemble().mat
        images = np.array([self._times(matrix, shape) for shape in shapes.T])
        return np.asarray(images @ shapes)

    def _times(self, matrix: Any, vector: Array) -> Array:
        self.given.FV().NumPy()[:] = vector
        self.got.data = matrix * self.given
        return np.array(self.got.FV().NumPy())

    def _lift(self, x_mm: float, y_mm: float) -> tuple[float, float, float]:
        return x_mm, y_mm, self.drum.top.thickness_mm - 1e-3

    def _rows(self, loads: Sequence[Any]) -> Array:
        (v, _) = self.space.TestFunction()
        rows = []
        for load in loads:
            form = ng.LinearForm(self.space)
            form += v[2](*load) if isinstance(load, tuple) else v[2] * load
            rows.append(np.array(form.Assemble().vec.FV().NumPy()))
        return np.array(rows).reshape(len(rows), self.space.ndof)

    def _weights(self, drawn: Outline) -> Array:
        """One row for each weight fixed under a tongue: the lift of its place times the root of its mass."""
        loaded = [(t, shape) for t, shape in zip(self.drum.tongues, drawn.tongues, strict=True) if t.weight_g]
        places = [
            strike_point(self.drum, tongue, shape, drawn.layout, from_tip_mm=TIP_WEIGHT_MM)
            for tongue, shape in loaded
        ]
        rows = self._rows([self._lift(*place) for place in places])
        return rows * np.sqrt([[1e-3 * TONNE * tongue.weight_g] for tongue, _ in loaded]).reshape(-1, 1)


def _strain(u: Any) -> Any:
    gradient = ng.Grad(u)
    return ng.CF(tuple(gradient[i, j] if i == j else gradient[i, j] + gradient[j, i] for i, j in VOIGT))


def _woods(drum: Drum, stiff: Sequence[float], heavy: Sequence[float]) -> dict[str, tuple[Array, float]]:
    """Stiffness in x, y, z (N/mm²) and density (kg/m³) of every part."""
    turn = math.radians(drum.top.grain_angle_deg)
    top = _stiffness(drum.top.elastic, drum.top.cut == "flatsawn", turn)
    density = drum.top.elastic.density_kg_m3
    woods = {"frame": (top, density)}
    for number, (stiffer, denser) in enumerate(zip(stiff, heavy, strict=True), start=1):
        woods[f"tongue {number}"] = (stiffer * top, denser * density)
    for name, wall in (("wall x", 0.0), ("wall y", 0.5 * math.pi)):
        # A wall is flatsawn with its face upright: along the wall L, up T, through R.
        woods[name] = (_stiffness(drum.box.elastic, False, wall), drum.box.elastic.density_kg_m3)
    if drum.bottom is not None:
        matrix = _stiffness(drum.bottom.elastic, drum.bottom.cut == "flatsawn", 0.0)
        woods["bottom"] = (matrix, drum.bottom.elastic.density_kg_m3)
    return woods


def _stiffness(wood: Elastic, flat: bool, turn: float) -> Array:
    """Voigt's 6 by 6 of a board whose L lies in the plane at `turn` to x; R up if flatsawn, else T up."""
    e = (wood.e_l_gpa, wood.e_r_gpa, wood.e_t_gpa)
    nu_lr, nu_lt, nu_rt = wood.nu_lr, wood.nu_lt, wood.nu_rt
    compliance = np.zeros((6, 6))
    compliance[:3, :3] = [
        [1.0 / e[0], -nu_lr / e[0], -nu_lt / e[0]],
        [-nu_lr / e[0], 1.0 / e[1], -nu_rt / e[1]],
        [-nu_lt / e[0], -nu_rt / e[1], 1.0 / e[2]],
    ]
    compliance[3, 3], compliance[4, 4], compliance[5, 5] = (
        1.0 / wood.g_rt_gpa,
        1.0 / wood.g_lt_gpa,
        1.0 / wood.g_lr_gpa,
    )
    tensor = np.zeros((3, 3, 3, 3))
    matrix = np.linalg.inv(compliance) * GPA
    for row, (i, j) in enumerate(VOIGT):
        for column, (k, m) in enumerate(VOIGT):
            for a, b in {(i, j), (j, i)}:
                for p, q in {(k, m), (m, k)}:
                    tensor[a, b, p, q] = matrix[row, column]
    along = np.array([math.cos(turn), math.sin(turn), 0.0])
    across = np.array([-math.sin(turn), math.cos(turn), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    axes = np.array([along, up, across] if flat else [along, across, up])
    turned = np.einsum("ai,bj,ck,dl,abcd->ijkl", axes, axes, axes, axes, tensor)
    return np.array([[turned[i, j, k, m] for k, m in VOIGT] for i, j in VOIGT])
