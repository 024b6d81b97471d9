"""The pickup's place goes into the file where it belongs, and nothing else moves."""

import pytest
from tests.drums import REED

from kerftone.drum.file import read_drum
from kerftone.drum.save import save_pickup_place
from kerftone.errors import DrumFileError


@pytest.mark.parametrize(
    "table",
    [
        "[pickup]\n",
        "[pickup]",
        "[pickup]   # a disc\ndisc = 20.0  # mine\n[shop]\nfraction = 16\n",
        "[pickup]\nx = 1.0\ny = 2.0 # by eye\ndisc = 20.0\n",
        "[pickup]\r\ndisc = 20.0\r\n",
    ],
)
def test_x_and_y_are_written_or_replaced_and_every_other_line_stays(tmp_path, table):
    path = tmp_path / "drum.toml"
    path.write_bytes((REED + table).encode())
    before = read_drum(path)
    after = save_pickup_place(path, x_mm=60.0, y_mm=41.5)
    assert after == read_drum(path)
    assert (after.making.pickup.x_mm, after.making.pickup.y_mm) == (60.0, 41.5)
    assert after.making.pickup.disc_mm == before.making.pickup.disc_mm
    assert after.tongues == before.tongues and after.shop == before.shop
    text = path.read_bytes().decode()
    for line in (REED + table).splitlines():
        assert line.startswith(("x =", "y =")) or line in text


def test_an_inline_table_takes_it_too(tmp_path):
    path = tmp_path / "drum.toml"
    path.write_text("pickup = { disc = 20.0 }\n" + REED)
    assert save_pickup_place(path, x_mm=60.0, y_mm=40.0).making.pickup.x_mm == 60.0


def test_inches_are_written_in_inches(tmp_path):
    text = REED.replace('name = "Reed"', 'name = "Reed"\nunits = "in"')
    for mm, inches in (("400.0", "16"), ("180.0", "7"), ("14.0", "0.5"), ("3.0", "0.125"), ("45.0", "1.75"),
                       ("32.0", "1.25"), ("150.0", "6"), ("110.0", "4.25"), ("130.0", "5"), ("95.0", "3.75"),
                       ("16.0", "0.625"), ("90.0", "3.5"), ("8.0", "0.375")):  # fmt: skip
        text = text.replace(f"= {mm}", f"= {inches}")
    path = tmp_path / "drum.toml"
    path.write_text(text + "[pickup]\ndisc = 0.75\n")
    save_pickup_place(path, x_mm=25.4, y_mm=12.7)
    assert "x = 1\n" in path.read_text() and 'y = "1/2"\n' in path.read_text()


@pytest.mark.refusal
def test_without_a_pickup_the_file_is_left_alone(tmp_path):
    path = tmp_path / "drum.toml"
    path.write_text(REED)
    with pytest.raises(DrumFileError, match="no \\[pickup\\]"):
        save_pickup_place(path, x_mm=1.0, y_mm=1.0)
    assert path.read_text() == REED
