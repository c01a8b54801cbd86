"""Print files: every word, its traps, what cannot be read, and the compiled twin."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.estimating.print_files import EVERY_WORD, tower

from printcrib.core.compiled import moves as compiled_moves
from printcrib.core.compiled.moves import read_words_compiled
from printcrib.core.compiled.planner import planned_seconds_kernel
from printcrib.core.errors import ShopError
from printcrib.core.estimating import move_words, moves
from printcrib.core.estimating.move_words import MoveRules, RawMoves, read_words
from printcrib.core.estimating.moves import PrintFile, read_moves
from printcrib.core.estimating.settings import typical_settings

SETTINGS = replace(typical_settings(400), acceleration_mm_s2=1000.0)
RULES = MoveRules(150.0, 1000.0, 0.03)


def read(text: str) -> PrintFile:
    return read_moves(text.encode(), "ring.nc", SETTINGS)


def words(text: str, rules: MoveRules = RULES) -> RawMoves:
    return read_words(text.encode(), rules)


def same(one: RawMoves, other: RawMoves) -> None:
    for name in RawMoves.__dataclass_fields__:
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-9, abs=1e-9), name


BOTH_WAYS = [
    EVERY_WORD,
    tower(3),
    tower(3, relative=True),
    EVERY_WORD.replace(b"\n", b"\r\n"),
    EVERY_WORD.replace(b"\n", b"\r"),
    b"",
    b"\n\n",
    b"G1 X1 Y2.0000000000000000000000001 F100",
    b"G1 X0." + b"0" * 40 + b"7 F100",
    b"G1 X" + b"0" * 40 + b"7 F100",
    b"G1 X1.2.3 F100",
    b"F100\nG1 X1\nX2\nX4",
    b"F100\nG1 X1 Y1 X2",
    b"F100\nG1 X1\nG92 X5 E2\nG92 Y1\nG1 X6 Z2 E3\nG3 I-4 Z2 E9",
    b"G1 X F100",
    b"G1 X+ F100",
    b"G1 X. F100",
    b"G1 X12345678901234567890 F100",
    b"G",
    b"M",
    b"M-5 X3 F100",
    b"G1 X5",
    b"F600\nG2 X5 Y5",
    b"G2 X5 Y5 I1 J0 F100",
    b"G2 X5 R1 F100",
    b"G2 R1 F100",
    b"G2 I0 J0 X0 F100",
    b"G18\nG2 X5 Z5 I2 F100",
    b"(open G1 X5\nG1 X5 F600 (a (b) X9\n",
    b"\xe9\x80 G1 X5 F600\n\xff",
]


@pytest.mark.parametrize("content", BOTH_WAYS)
@pytest.mark.parametrize("switches", [True, False])
def test_the_compiled_twin_agrees(content: bytes, switches: bool) -> None:
    rules = replace(RULES, e_switches=switches)
    same(read_words(content, rules), read_words_compiled(content, rules))


WORDS = (
    "G0 G1 G2 G3 G90 G91 M82 M83 G20 G21 G92 G28 G4 X1 X-2.5 Y3 Z.2 E1 E-.5 F600 I2 J-1 R3 S1 P20 T1 X ( ; ) "
    "= M104 M117 M204 N3 *9 / 1e-5 \r x7"
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.lists(st.sampled_from(WORDS.split(" ")), max_size=5), max_size=12))
def test_the_compiled_twin_agrees_on_any_words(lines: list[list[str]]) -> None:
    content = ("F900\n" + "\n".join("".join(line) for line in lines)).encode()
    same(read_words(content, RULES), read_words_compiled(content, RULES))


@pytest.mark.parametrize("ends", [b"\n", b"\r", b"\r\n"])
def test_pieces_and_telling(ends: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    content = tower(2).replace(b"\n", ends)
    monkeypatch.setattr(compiled_moves, "PIECE", len(content) // 3)
    told: list[float] = []
    in_pieces = read_words_compiled(content, RULES, told.append)
    assert len(told) == 3
    assert told[-1] == 1.0
    same(read_words(content, RULES), in_pieces)


def test_both_kernels_make_the_same_file() -> None:
    content, told = tower(100), list[float]()
    plain = read_moves(content, "ring.nc", SETTINGS, tell=told.append)
    twin = read_moves(content, "ring.nc", SETTINGS, read_words_compiled, planned_seconds_kernel)
    assert twin.minutes == pytest.approx(plain.minutes, rel=1e-9)
    assert twin.grams == pytest.approx(plain.grams, rel=1e-9)
    assert (twin.layers, twin.moves) == (plain.layers, plain.moves) == (100, 100 * 43)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_relative_and_absolute_filament_are_the_same_print() -> None:
    absolute, relative = (read_moves(tower(5, relative=one), "a.nc", SETTINGS) for one in (False, True))
    assert relative.minutes == pytest.approx(absolute.minutes, rel=1e-9)
    assert relative.metres == pytest.approx(absolute.metres, rel=1e-9)
    # five rings of 40 lines, the first priming; what is drawn back at the end was pushed before
    assert absolute.metres == pytest.approx((5 * 40 * 0.11 + 1.5) / 1000, rel=1e-6)


def test_g90_does_not_undo_m83_where_that_would_draw_all_back() -> None:
    rings = "".join(f"G1 X{10 + i} E{0.3 + i % 3 / 10}\n" for i in range(30))
    file = read(f"M83\nF1200\nG91\nG1 Z1\nG90\n{rings}")
    assert file.metres == pytest.approx(sum(0.3 + i % 3 / 10 for i in range(30)) / 1000)


def test_g91_counts_for_the_filament_where_it_would_else_draw_all_back() -> None:
    file = read("G90\nF1200\nG1 X10 E500\nG91\nG1 E-2\nG90\nG1 X20 E510")
    assert file.metres == pytest.approx(0.51)


def test_what_cannot_be_told_from_the_file_goes_by_the_setting() -> None:
    text = b"M83\nF1200\nG91\nG90\nG1 X10 E1\nG1 X20 E1\nG1 X30 E1"
    alone = replace(SETTINGS, g90_sets_filament=0)
    files = [read_moves(text, "a.nc", one) for one in (SETTINGS, alone)]
    assert [file.metres for file in files] == pytest.approx([0.001, 0.003])
    assert [file.notes for file in files] == [(), ()]


def test_a_reading_against_the_setting_is_said() -> None:
    text = b"G90\nF1200\nG1 X10 E500\nG91\nG1 E-2\nG90\nG1 X20 E510"
    file = read_moves(text, "a.nc", replace(SETTINGS, g90_sets_filament=0))
    assert file.metres == pytest.approx(0.51)
    assert file.notes == ("G90 and G91 count for the filament in this file, by what it draws back.",)
    assert read_moves(text, "a.nc", SETTINGS).notes == ()


def test_p_of_a_wait_in_seconds() -> None:
    seconds = replace(SETTINGS, g4_p_in_seconds=1)
    waited = [read_moves(b"G4 P2\nG1 X1 F600", "a.nc", one).wait_minutes * 60 for one in (SETTINGS, seconds)]
    assert waited == pytest.approx([0.002, 2.0])


def test_retracting_costs_time_and_no_filament() -> None:
    plain = read("M83\nG1 X50 E2 F3000\nG1 X100 E2")
    drawn_back = read("M83\nG1 X50 E2 F3000\nG1 E-1\nG1 E1\nG1 X100 E2")
    assert drawn_back.metres == pytest.approx(plain.metres)
    assert drawn_back.minutes > plain.minutes


def test_heat_already_on_its_way_is_not_waited_for_twice() -> None:
    cold = read("M190 S55\nG1 X1 F600").heat_minutes
    assert cold * 60 == pytest.approx((55 - 25) / SETTINGS.platform_heats_c_s)
    warming = read("M140 S55\nM190 S55\nG1 X1 F600").heat_minutes
    assert warming == pytest.approx(cold)
    meanwhile = read("M140 S55\nG4 S40\nM190 S55\nG1 X1 F600").heat_minutes
    assert meanwhile * 60 == pytest.approx(cold * 60 - 40)
    nozzle_meanwhile = read("M104 S185\nM190 S55\nM109 S185\nG1 X1 F600").heat_minutes
    assert nozzle_meanwhile == pytest.approx(cold)
    both = read("M190 S55\nM109 S185\nG1 X1 F600").heat_minutes
    assert both * 60 == pytest.approx(cold * 60 + 80)


def test_s_waits_when_rising_only_and_r_for_both() -> None:
    up = read("M109 S200\nG1 X1 F600").heat_minutes
    assert read("M109 S200\nM109 S150\nG1 X1 F600").heat_minutes == pytest.approx(up)
    assert read("M109 S200\nM109 R150\nG1 X1 F600").heat_minutes * 60 == pytest.approx(up * 60 + 25)
    assert read("M109 S200\nM104 S0\nG4 S9\nM109 S200\nG1 X1 F600").heat_minutes * 60 == pytest.approx(
        up * 60 + 9
    )


def test_tools_and_dwells() -> None:
    still = read("G1 X1 F600")
    assert read("T0\nG1 X1 F600").minutes == pytest.approx(still.minutes)
    changed = read("T1\nG1 X1 F600\nT1\nT0\nM104 S200 T1")
    assert changed.wait_minutes * 60 == pytest.approx(2 * SETTINGS.tool_change_s)
    assert read("G4 S-3\nG1 X1 F600").wait_minutes == 0


def test_places_units_and_homes() -> None:
    lengths = words("G1 X10 F600\nG20\nG1 X1\nG92 X0\nG1 X1\nG28 Y\nG28\nG1 X1").length_mm
    assert lengths == pytest.approx([10, 15.4, 25.4, 25.4, 25.4])
    assert words("G1 X10 F600\nX20\nF1200\nY5").speed_mm_s == pytest.approx([10, 10, 20])


def test_going_home_and_rapids_take_the_travel_speed_when_no_f_was_read() -> None:
    assert words("G0 X10\nG28").speed_mm_s == pytest.approx([150, 150])
    assert words("G0 X10 F600\nG0 X20").speed_mm_s == pytest.approx([10, 10])


def test_acceleration_of_the_file_holds() -> None:
    raw = words("M204 P500 T3000\nM83\nF6000\nG1 X10 E1\nG1 X20\nM204 S800\nG1 X30 E1\nG1 X40\nM204 S0\nX50")
    assert raw.acceleration_mm_s2.tolist() == [500, 3000, 800, 800, 800]


def test_layers_are_the_heights_something_is_printed_at() -> None:
    layer = "G1 X50 E1\nG0 Z{hop}\nG0 X0\nG0 Z{back}\n"
    file = read("M83\nF6000\nG1 Z.2\n" + layer.format(hop=1, back=0.2) * 3 + "G1 Z.4\nX9 E1\nG0 Z.2\nX0 E1")
    assert file.layers == 2
    assert read("M83\nF6000\nG1 X10 Z1 E1").layers == 0


def test_no_stop_at_joints_of_a_straight_and_stops_around_filament_alone() -> None:
    raw = words("M83\nF6000\nG1 X10\nX20\nG1 E-1\nX30\nG1 X30\nX20")
    assert raw.corner_mm_s.tolist() == [0, np.inf, 0, 0, pytest.approx(0, abs=1e-6)]


def test_an_arc_is_no_faster_than_its_radius_allows() -> None:
    raw = words("G2 I0.4 F6000")
    assert raw.length_mm == pytest.approx([2 * np.pi * 0.4])
    assert raw.speed_mm_s == pytest.approx([(1000 * 0.4) ** 0.5])


@pytest.mark.parametrize("text", ["G3 X20 Y0 I10 J0", "G3 X20 Y0 R10", "G2 X20 Y0 R-10", "G2 X20 R10"])
def test_half_circles_by_centre_and_by_radius(text: str) -> None:
    assert words(f"F600\n{text}").length_mm == pytest.approx([np.pi * 10])


def test_the_longer_way_round_and_a_screw() -> None:
    short, long = (words(f"F600\nG3 X10 Y10 R{radius}").length_mm[0] for radius in (10, -10))
    assert short == pytest.approx(np.pi * 5)
    assert long == pytest.approx(np.pi * 15)
    assert words("F600\nG2 I10 Z3").length_mm == pytest.approx([np.hypot(2 * np.pi * 10, 3)])


def test_a_tangent_arc_is_entered_at_full_speed() -> None:
    corners = words("F600\nG1 X10\nG3 X20 Y10 J10\nG1 Y30\nG2 X30 Y40 I10").corner_mm_s
    assert (corners[1:] > 1000).all()


NO_NUMBER = "of ring.nc is a move with a word that is no number or is there twice."


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "G1 X10 F600\nG1 X1O F600",
            f"Line 2 {NO_NUMBER}",
        ),
        (
            "G1 X9999999999 F600",
            f"Line 1 {NO_NUMBER}",
        ),
        ("G1 X1e-5 E.2 F600", f"Line 1 {NO_NUMBER}"),
        ("G1 XNaN F600", f"Line 1 {NO_NUMBER}"),
        ("G1 X10", "Line 1 of ring.nc is a move before any F says how fast."),
        ("G1 X10 F0", "Line 1 of ring.nc is a move before any F says how fast."),
        ("G1 E10", "Line 1 of ring.nc is a move before any F says how fast."),
        ("F600\nG2 X5", "Line 2 of ring.nc is an arc whose centre or radius does not fit its ends."),
        ("F600\nG2 X5 R1", "Line 2 of ring.nc is an arc whose centre or radius does not fit its ends."),
        ("F600\nG2 X5 I1", "Line 2 of ring.nc is an arc whose centre or radius does not fit its ends."),
        ("F600\nG19 G2 Y5 J2", "Line 2 of ring.nc is an arc that does not lie level."),
        ("", "ring.nc is empty."),
        ("\n\n ; nothing\n", "ring.nc holds no moves."),
        ("solid ball\nfacet normal 0 0 1", "ring.nc holds no moves."),
        ("PK\0\3", "ring.nc is not a print file in text."),
    ],
)
def test_what_cannot_be_read_is_said_in_one_sentence(text: str, sentence: str) -> None:
    with pytest.raises(ShopError) as refused:
        read(text)
    assert str(refused.value).startswith(sentence)


def test_what_nobody_knows_is_counted_and_left() -> None:
    file = read("START X=5\nG1 X10 F600\nPURGE_NOW 5%\nLOAD 5\nG29 X3\nM117 G1 X900")
    assert file.moves == 1
    assert file.notes == (
        "It pushes no filament.",
        "2 lines hold words nobody here knows; they count for nothing.",
    )
    assert read("M83\nG1 X10 E1 F600\n?").notes == (
        "1 line holds words nobody here knows; they count for nothing.",
    )


def test_letters_blanks_numbers_and_checks_do_not_matter() -> None:
    plain = words("G1 X10 Y5 E2 F600\nG3 X0 Y5 I-5 J0 E1")
    written = "\ufeffn7g1x10y5e2f600*31\r\n\r\n/N8 g3 (arc) x 0.0 Y+5. i-5j0 e 1;done"
    file = read_moves(written.encode(), "a.nc", SETTINGS)
    assert (file.moves, file.notes) == (2, ())
    assert file.metres == pytest.approx(plain.drawn_mm / 1000)


@pytest.mark.parametrize("reader", [read_words, read_words_compiled])
def test_more_moves_than_any_printer_makes(
    reader: moves.MovesReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (move_words, compiled_moves):
        monkeypatch.setattr(module, "MOST_MOVES", 100)
    with pytest.raises(ShopError, match="holds more than"):
        read_moves(tower(3), "a.nc", SETTINGS, reader)


def test_a_file_too_large_for_any_printer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moves, "MOST_BYTES", 2 * 1024**2)
    with pytest.raises(ShopError, match="larger than 2 MB"):
        moves.refuse_size(2 * 1024**2 + 1, "a.nc")


def test_telling_may_end_the_reading(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(move_words, "_LINES_A_TELL", 10)

    def stop(_share: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read_moves(tower(1), "a.nc", SETTINGS, tell=stop)
