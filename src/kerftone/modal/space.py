"""Finite-element spaces on one mesh: stiffness, mass, and how a coarse order sits in a fine one.

A displacement is three scalar fields over the same scalar space, so its unknowns lie as (3, scalar
unknowns), and the mass matrix is one scalar matrix applied three times. The basis is hierarchical: the
order-2 functions are among those of order 3, and a coarse field is copied into a fine one number by number.

A stiffness that is to be factorised is better numbered otherwise, the three components of each scalar unknown
together: as a matrix of 3 by 3 blocks it is ordered, factorised and solved in about half the time (`Blocks`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial, reduce
from itertools import product
from operator import add
from typing import Any

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray
from pyngcore import LOG_LEVEL, SetLoggingLevel

from kerftone.modal.mechanics import PAIRS, Graded, Stiffness, by_material, strain
from kerftone.modal.threads import threads_allowed, together
from kerftone.stopping import check_stopped

Array = NDArray[np.floating[Any]]
HELD = "base"
STRAIN = {pair: number for number, (i, j) in enumerate(PAIRS) for pair in ((i, j), (j, i))}
"""Where the strain of an axis along another stands among the six."""
ROUNDING = 1e-13
"""Stiffnesses below this share of the largest are nothing but rounding, and are not assembled."""
# Every space and form takes one of the library's 8191 stopwatches and never gives it back. When there are no more,
# it warns once and counts them all on one; the sums are wrong then, and nobody reads them.
SetLoggingLevel(LOG_LEVEL.Error, "Profiler")

KINDS = (ng.VERTEX, ng.EDGE, ng.FACE, ng.CELL)


@dataclass(frozen=True)
class Parts:
    """What each named part of a mesh is made of: stiffness in x, y, z (Pa) and density (kg/m³).

    A density is a number, or a function of place.
    """

    stiffness: dict[str, Stiffness]
    density: dict[str, Any]


class Space:
    """Displacements of one polynomial order on one mesh; `held` names the boundary that cannot move."""

    def __init__(self, mesh: ng.Mesh, parts: Parts, *, order: int, held: str | None) -> None:
        self.mesh, self.parts, self.order = mesh, parts, order
        self.held, fixed = held, held or ""
        self.field = ng.VectorH1(mesh, order=order, dirichlet=fixed)
        self.scalar = ng.H1(mesh, order=order, dirichlet=fixed)
        self.unknowns: int = self.field.ndof
        self.c = by_material(mesh, parts.stiffness)
        self.rho = mesh.MaterialCF(parts.density)

    def free(self) -> Array:
        """1 where an unknown may move, 0 where it is held."""
        mask = np.fromiter(self.scalar.FreeDofs(), dtype=float, count=self.scalar.ndof)
        return np.tile(mask, 3)

    def stiffness(self, shift: float = 0.0, where: str | None = None) -> ng.BilinearForm:
        """K + shift M, assembled; `where` is a pattern of the materials that count."""
        u, v = self.field.TnT()
        part = {} if where is None else {"definedon": self.mesh.Materials(where)}
        form = ng.BilinearForm(self.field, symmetric=True)
        form += ng.InnerProduct(self.c * strain(u), strain(v)).Compile() * ng.dx(**part)
        if shift:
            form += (shift * self.rho * ng.InnerProduct(u, v)).Compile() * ng.dx(**part)
        return form.Assemble()

    def blocks(self, shift: float = 0.0, where: str | None = None) -> Blocks:
        """The same as `stiffness`, in blocks, to be factorised."""
        return Blocks(self, shift, where)

    def mass(self, where: str | None = None) -> ng.BaseMatrix:
        """The mass matrix of one component."""
        u, v = self.scalar.TnT()
        part = {} if where is None else {"definedon": self.mesh.Materials(where)}
        form = ng.BilinearForm(self.scalar, symmetric=True)
        form += self.rho * u * v * ng.dx(**part)
        return form.Assemble().mat

    def nodes(self) -> list[tuple[int, ...]]:
        """The scalar unknowns of every vertex, edge, face and cell, in a fixed order."""
        counts = (self.mesh.nv, self.mesh.nedge, self.mesh.nface, self.mesh.ne)
        return [
            self.scalar.GetDofNrs(ng.NodeId(kind, number))
            for kind, count in zip(KINDS, counts, strict=True)
            for number in range(count)
        ]

    @cached_property
    def corners_m(self) -> Array:
        """Where the vertices are (vertices, 3)."""
        return np.array([vertex.point for vertex in self.mesh.vertices])

    @cached_property
    def sides(self) -> tuple[list[tuple[int, ...]], list[tuple[int, ...]]]:
        """The vertices of every edge, and of every face."""
        edges, faces = (
            [tuple(int(vertex.nr) for vertex in node.vertices) for node in nodes]
            for nodes in (self.mesh.edges, self.mesh.faces)
        )
        return edges, faces

    def rigid(self) -> Array:
        """The three slides and three turns of a free body (6, unknowns): affine, so vertices only."""
        x, y, z = (self.corners_m - self.corners_m.mean(axis=0)).T
        one, zero = np.ones_like(x), np.zeros_like(x)
        moves = [
            (one, zero, zero),
            (zero, one, zero),
            (zero, zero, one),
            (zero, -z, y),
            (z, zero, -x),
            (-y, x, zero),
        ]
        fields = np.zeros((6, 3, self.scalar.ndof))
        for field, move in zip(fields, moves, strict=True):
            field[:, : len(x)] = move
        return fields.reshape(6, -1)


def embedding(coarse: Space, fine: Space) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Which scalar unknowns of order 2 are which of order 3: (coarse numbers, fine numbers)."""
    pairs = [(few[0], many[0]) for few, many in zip(coarse.nodes(), fine.nodes(), strict=True) if few]
    both = np.array(pairs, dtype=np.intp)
    return both[:, 0], both[:, 1]


class Mass:
    """M as a function of a vector of three components, or of each row of several (n, unknowns)."""

    def __init__(self, matrix: ng.BaseMatrix) -> None:
        self._matrix = matrix

    def __call__(self, vectors: Array) -> Array:
        """M times this vector, or each of these."""
        return times(self._matrix, vectors.reshape(-1, self._matrix.width)).reshape(vectors.shape)


def times(matrix: Any, vectors: Array) -> Array:
    """A sparse matrix times each of these vectors (n, unknowns); all at once takes a third of the time."""
    sources = ng.MultiVector(matrix.CreateRowVector(), len(vectors))
    images = ng.MultiVector(matrix.CreateColVector(), len(vectors))
    for source, vector in zip(sources, vectors, strict=True):
        source.FV().NumPy()[:] = vector
    images[:] = matrix * sources
    return np.array([image.FV().NumPy() for image in images])


class Blocks:
    """K + shift M with the three components of each scalar unknown together; vectors still lie as (3, scalar).

    What motions along one axis do to forces along another is assembled as a scalar matrix, all nine of them, and
    each written into its place of the blocks: a third of the work, for a wood's stiffness is mostly zeros.
    """

    def __init__(self, space: Space, shift: float, where: str | None) -> None:
        self._space = ng.H1(space.mesh, order=space.order, dim=3, dirichlet=space.held or "")
        part = space.mesh.Materials(where or ".*")
        u, v = self._space.TnT()
        self._form = ng.BilinearForm(self._space, symmetric=True, symmetric_storage=True)
        self._form += ng.CF(0.0) * u[0] * v[0] * ng.dx(definedon=part, bonus_intorder=-2 * space.order)
        self._form.Assemble()
        # Blocks lie as the numbers of a scalar matrix of the same space do.
        blocks = self._form.mat.AsVector().FV().NumPy().reshape(-1, 3, 3)
        pairs = [(row, column) for row in range(3) for column in range(3)]
        works = [partial(_between, space, part, pair) for pair in pairs]
        for (row, column), numbers in zip(pairs, together(works), strict=True):
            blocks[:, row, column] = numbers
        if shift:
            mass = _numbers(space, lambda u, v: (shift * space.rho) * u * v * ng.dx(definedon=part))
            for axis in range(3):
                blocks[:, axis, axis] += mass

    def inverse(self, free: Any = None) -> Inverse:
        """Its factorised inverse; `free` says which scalar unknowns may move, where it is not the space's own."""
        return Inverse(self._form, self._space.FreeDofs() if free is None else free)

    def times(self, vectors: Array) -> Array:
        """This matrix times each of these vectors (n, unknowns)."""
        return _apart(times(self._form.mat, _together(vectors)))


def _between(space: Space, part: Any, pair: tuple[int, int]) -> Array:
    """The numbers of the matrix from motions along one axis (the second) to forces along another, in one part."""
    names = [name for name, here in zip(space.mesh.GetMaterials(), part.Mask(), strict=True) if here]
    found = {name: space.parts.stiffness[name] for name in dict.fromkeys(names)}
    least = ROUNDING * max(abs(_largest(one)).max() for one in found.values())
    solid = {name: one for name, one in found.items() if not isinstance(one, Graded)}
    plies = {name: one for name, one in found.items() if isinstance(one, Graded)}

    def form(u: Any, v: Any) -> Any:
        sums: list[list[Any]] = [[], []]
        for i, j in product(range(3), repeat=2):
            at, slopes = (STRAIN[pair[0], i], STRAIN[pair[1], j]), ng.grad(u)[j] * ng.grad(v)[i]
            values = {name: float(one[at]) for name, one in solid.items()}
            if values and max(map(abs, values.values())) > least:
                sums[0].append(space.mesh.MaterialCF(values) * slopes)
            powers = {name: one.powers[(slice(None), *at)] for name, one in plies.items()}
            if powers and max(abs(p).max() for p in powers.values()) > least:
                terms = {name: one.entry(at).Compile() for name, one in plies.items()}
                sums[1].append(space.mesh.MaterialCF(terms) * slopes)
        one, other = (reduce(add, terms or [ng.CF(0.0) * u * v]) for terms in sums)
        whole = one * ng.dx(definedon=_where(space, solid)) if solid else None
        return reduce(add, [*([whole] if solid else []), *_through(space, plies, other)])

    return _numbers(space, form)


def _largest(one: Stiffness) -> Array:
    return one.powers if isinstance(one, Graded) else one


def _where(space: Space, names: Iterable[str]) -> Any:
    return space.mesh.Materials("|".join(names))


def _through(space: Space, plies: Mapping[str, Graded], integrand: Any) -> list[Any]:
    """The integral over boards of plies: as many more points through the thickness as their polynomials ask for.

    Prisms stand upright, so that only their height needs them; but for those of a rim swept round the box, and for
    pyramids and tetrahedra, which need them all ways.
    """
    if not plies:
        return []
    degree = max(one.degree for one in plies.values())
    upright = {ng.PRISM: _prism_rule(2 * space.order, degree)}
    ways = {name: {} if name == "rim" else {"intrules": upright} for name in plies}
    return [
        integrand * ng.dx(definedon=_where(space, [name]), bonus_intorder=degree, **way)
        for name, way in ways.items()
    ]


@lru_cache(maxsize=8)
def _prism_rule(order: int, more: int) -> Any:
    """A rule of this order in plan, and of so much more in height."""
    flat, high = ng.IntegrationRule(ng.TRIG, order), ng.IntegrationRule(ng.SEGM, order + more)
    points = [(*tuple(p)[:2], q[0]) for p in flat.points for q in high.points]
    return ng.IntegrationRule(points, [v * w for v in flat.weights for w in high.weights])


def _numbers(space: Space, form: Callable[[Any, Any], Any]) -> Array:
    """The numbers of a scalar matrix, as they lie in it; only of its lower triangle."""
    whole = ng.BilinearForm(space.scalar, symmetric=True, symmetric_storage=True)
    whole += form(*space.scalar.TnT())
    whole.Assemble()
    return np.array(whole.mat.AsVector().FV().NumPy())


def _together(vectors: Array) -> Array:
    """Numbered by scalar unknown first, component last."""
    return vectors.reshape(len(vectors), 3, -1).swapaxes(1, 2).reshape(len(vectors), -1)


def _apart(vectors: Array) -> Array:
    """Numbered by component first."""
    return vectors.reshape(len(vectors), -1, 3).swapaxes(1, 2).reshape(len(vectors), -1)


class Inverse:
    """The factorised inverse of a form as a function of a vector, or of each row of several (n, unknowns).

    Vectors lie as (3, scalar unknowns), also where the form has its components together.
    """

    def __init__(self, form: ng.BilinearForm, free: Any) -> None:
        check_stopped()
        self._factor = form.mat.Inverse(free, inverse="sparsecholesky")
        self._blocks = self._factor.CreateRowVector().FV().NumPy().size > self._factor.width

    def __call__(self, loads: Array) -> Array:
        """What this load moves, or each of these.

        Ends with Stopped where it was told to: the solver's loops all come by here.
        """
        rows = loads.reshape(-1, loads.shape[-1])
        moved = np.empty(rows.shape)
        whole = _together(rows) if self._blocks else rows
        hands = min(threads_allowed(), len(rows))
        shares = zip(np.array_split(whole, hands), np.array_split(moved, hands), strict=True)
        together([partial(self._answer, *share) for share in shares])
        return (_apart(moved) if self._blocks else moved).reshape(loads.shape)

    def _answer(self, loads: Array, answers: Array) -> None:
        """One load after the other; each thread has vectors of its own."""
        given, moved = self._factor.CreateColVector(), self._factor.CreateRowVector()
        for load, answer in zip(loads, answers, strict=True):
            check_stopped()
            given.FV().NumPy()[:] = load
            self._factor.Mult(given, moved)
            answer[:] = moved.FV().NumPy()
