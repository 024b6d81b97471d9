"""From the prediction to the report page: which facts, rows, pictures and words go on it.

The page itself is `kerftone.draw.report`, which knows no physics; here its plain values are gathered.
"""

from __future__ import annotations

from kerftone import __version__
from kerftone.draw.labels import on_rule
from kerftone.draw.layout import layout_sheet
from kerftone.draw.mode_picture import mode_picture
from kerftone.draw.portrait import portrait
from kerftone.draw.report import Report, ReportRow, ReportSound
from kerftone.draw.sheet import Sheet
from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline
from kerftone.jobs.joint_words import joint_words
from kerftone.jobs.loudness import breathing_words, loudness_words
from kerftone.jobs.other_glue import glue_words
from kerftone.jobs.prediction import Prediction, stand_ins, tap_test_gain, warnings
from kerftone.jobs.ringing import finish_words, ringing_words
from kerftone.jobs.tongue_prediction import TonguePrediction
from kerftone.modal.result import TopView
from kerftone.shop.box import box_of
from kerftone.shop.measure import mark_words, measure_of
from kerftone.sound.render import Preview
from kerftone.sound.wav import flac_bytes


def report_of(prediction: Prediction, preview: Preview, picked: Preview | None = None) -> Report:
    """Everything the report page shows of this drum.

    Parameters
    ----------
    prediction : Prediction
        What it sounds.
    preview : Preview
        Its sound in front of it.
    picked : Preview | None, optional
        The same through its pickup, where it has one.
    """
    sounds = [ReportSound(name="In front of the drum", data=flac_bytes(preview), words=preview.in_words())]
    if picked is not None:
        sounds.append(
            ReportSound(
                name="Through the pickup",
                data=flac_bytes(picked),
                words="From its disc at the place in the drum file, or at the best there is.",
            )
        )
    drum = prediction.drum
    drawn = outline(drum)
    view = prediction.modes.view
    assert view is not None
    return Report(
        name=drum.name,
        facts=facts(prediction),
        rows=tuple(
            _row(tongue, drum, _picture(tongue, view, drawn, n))
            for n, tongue in enumerate(prediction.tongues)
        ),
        layout=layout_sheet(drum, drawn, full_size=False),
        aim_cents=drum.tuning.aim_cents,
        tolerance_cents=drum.tuning.tolerance_cents,
        made_by=f"Kerftone {__version__}",
        sounds=tuple(sounds),
        trust=(*stand_ins(drum), *((mark_words(drum),) if mark_words(drum) else ())),
        warnings=tuple(one.words for one in warnings(prediction)),
        portrait=portrait(drum, drawn, box_of(drum)),
    )


def facts(prediction: Prediction) -> tuple[tuple[str, str], ...]:
    """Short pairs of name and value about the drum."""
    drum, gain = prediction.drum, tap_test_gain(prediction)
    top, box, tuning = drum.top, drum.box, drum.tuning

    def mm(value: float) -> str:
        return on_rule(value, drum.units)

    sizes = " × ".join(on_rule(v, drum.units, with_unit=False) for v in (top.length_mm, top.width_mm))
    grain = f", grain at {top.grain_angle_deg:g}°" if top.grain_angle_deg else ""
    grain += f", diving {top.grain_dive_deg:g}°" if top.grain_dive_deg else ""
    air = " ".join(words for words in (breathing_words(prediction), loudness_words(prediction)) if words)
    bottom = "none" if drum.bottom is None else f"{drum.bottom.wood}, {mm(drum.bottom.thickness_mm)}"
    finish = finish_words(prediction)
    stands = "held still below" if box.stands == "held" else "free, as on soft feet"
    aim = f"; cut {abs(tuning.aim_cents):g} cents {'flat' if tuning.aim_cents < 0 else 'sharp'}"
    return (
        ("Top", f"{top.wood}, {sizes} × {mm(top.thickness_mm)}, {top.cut}{grain}"),
        ("Saw cut", f"{mm(drum.slots.kerf_mm)} wide"),
        ("Box", f"{box.wood}, walls {mm(box.wall_mm)}, {mm(box.height_mm)} high, top {box.mount}"),
        *(
            (("Root bars", f"{mm(box.root_bar_mm)} wide, {mm(box.root_bar_height_mm)} high"),)
            if box.root_bar_mm
            else ()
        ),
        *((("Glue", glue_words(drum, prediction.other_glue)),) if prediction.other_glue is not None else ()),
        ("Bottom", bottom),
        ("Joints", joint_words(prediction)),
        ("Stands", prediction.held_by or stands),
        *((("Air", air),) if air else ()),
        ("Rings", ringing_words(prediction)),
        *((("Finish", finish),) if finish else ()),
        *((("Tap test", gain),) if gain is not None else ()),
        (
            "Tuning",
            f"{tuning.temperament}, A4 = {tuning.reference_hz:g} Hz{aim if tuning.aim_cents else ''}",
        ),
    )


def _row(predicted: TonguePrediction, drum: Drum, picture: Sheet) -> ReportRow:
    return ReportRow(
        place=predicted.tongue.place,
        note=predicted.tongue.note,
        target_hz=predicted.target_hz,
        predicted_hz=predicted.heard.hz,
        cents_from_target=predicted.cents_from_target,
        plus_minus_cents=predicted.plus_minus_cents,
        length=measure_of(drum).sawn(predicted.tongue.length_mm or 0.0),
        clarity=predicted.heard.clarity,
        shared_with=predicted.heard.shared_with,
        picture=picture,
    )


def _picture(predicted: TonguePrediction, view: TopView, drawn: Outline, number: int) -> Sheet:
    return mode_picture(
        points_mm=view.points_mm,
        triangles=view.triangles,
        lift=view.lift[:, predicted.heard.mode],
        drawn=drawn,
        title=f"{predicted.tongue.place} {predicted.tongue.note}, {predicted.heard.hz:.1f} Hz",
        tongue=number,
    )
