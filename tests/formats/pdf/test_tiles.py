"""A sheet that was spread over pages is one sheet again, and that is proved; what can't be proved is refused."""

from __future__ import annotations

import random
import tracemalloc

import pytest

from svgfit.formats.pdf.shared_shapes import most_agreed
from svgfit.model.refusal import Refusal
from tests.formats.pdf.making import MM, Document, convert, drawing, one_page
from tests.formats.pdf.tiling import LAYERS, PAGE, WIDE, drawn, length_of, sheet, tiled


def outlines(data, **wishes):
    """The length of every line by layer, and whether it is closed."""
    found = {}
    for layer in drawing(data, **wishes).layers:
        for shape in layer.shapes:
            for curve, closed in zip(shape.curves, shape.closed, strict=True):
                found.setdefault(layer.name, []).append((curve.length(), closed))
    return {name: sorted(lines) for name, lines in found.items()}


def check(data, columns=4, rows=3, overlap=0.0, within=0.02, **wishes):
    """Every outline is there once, closed, as long as it was drawn."""
    found = outlines(data, **wishes)
    truth = {}
    for layer, _, points in sheet(columns, rows, overlap):
        truth.setdefault(layer, []).append((length_of(points, closed=layer != "Grain"), layer != "Grain"))
    assert set(found) == set(truth)
    for layer, lines in truth.items():
        assert len(found[layer]) == len(lines)
        for (length, closed), (was, shut) in zip(found[layer], sorted(lines), strict=True):
            assert abs(length - was) < within
            assert closed == shut


@pytest.mark.parametrize("how", ["cut", "clip", "form"])
@pytest.mark.parametrize("keys", [{}, {"blank": False}, {"Rotate": 90}, {"UserUnit": 2}, {"furniture": False}], ids=str)
def test_pages_are_put_together(how, keys):
    data = tiled(how=how, **keys)
    if "UserUnit" in keys:
        found = [length for lines in outlines(data).values() for length, _ in lines]
        truth = [length_of(points, closed=layer != "Grain") for layer, _, points in sheet()]
        assert sorted(found) == pytest.approx([2 * length for length in sorted(truth)], abs=0.04)
    else:
        check(data)


@pytest.mark.parametrize("how", ["cut", "clip", "form"])
@pytest.mark.parametrize("overlap", [5.0, 10.0, 19.05])
def test_pages_that_overlap(how, overlap):
    data = tiled(how=how, overlap=overlap)
    check(data, overlap=overlap)
    if how == "cut":
        note, _ = convert(data).notes
        assert "overlapping by" in note
        assert note.endswith(" lines go on from page to page, 0 do not")


def test_the_count_is_the_proof():
    assert convert(tiled(how="cut")).notes[0].startswith("12 pages, 4 across and 3 down: ")
    assert "12 pages, put together by 7 shapes" in convert(tiled(how="form")).notes[0]


@pytest.mark.parametrize("grid", [(2, 2), (1, 3), (3, 1), (5, 2)])
def test_other_grids(grid):
    check(tiled(how="cut", columns=grid[0], rows=grid[1]), *grid)


def test_column_by_column():
    order = [row * 4 + column for column in range(4) for row in range(3)]
    check(tiled(how="cut", order=order))
    check(tiled(how="form", order=order))


def test_dashes_and_layers_survive_the_seams():
    text = convert(tiled(how="cut")).svg.decode()
    assert text.count("<path") == len(sheet())
    assert text.count('stroke-dasharray="2.11667 1.05833"') == 2


@pytest.mark.slow
def test_shuffled_pages_are_refused_with_what_to_give_and_shapes_that_are_shared_need_no_order():
    order = [5, 0, 7, 2, 9, 4, 11, 6, 1, 8, 3, 10]
    with pytest.raises(Refusal, match=r"how they belong together is not certain.*--pages 4x8"):
        convert(tiled(how="cut", order=order))
    check(tiled(how="clip", order=order))


@pytest.mark.slow
def test_a_missing_page_is_refused():
    with pytest.raises(Refusal, match="not certain"):
        convert(tiled(how="cut", keep=[k for k in range(12) if k != 5]))


@pytest.mark.slow
def test_wrong_wishes_are_refused_and_right_ones_taken():
    check(tiled(how="cut"), pages=(4, 3))
    assert "overlapping by" in convert(tiled(how="cut", overlap=10), pages=(4, 3), overlap=10.0).notes[0]
    with pytest.raises(Refusal, match="not certain"):
        convert(tiled(how="cut"), pages=(3, 4))
    with pytest.raises(Refusal, match="not certain"):
        convert(tiled(how="cut", overlap=10), overlap=4.0)


def test_a_page_of_words_or_of_a_small_picture_before_the_tiles():
    document = Document()
    document.page("BT /F1 12 Tf 50 500 Td (Print at 100 %) Tj ET", box=PAGE)
    document.page("100 100 m 200 300 l 300 100 l s 1 w 50 50 500 700 re S", box=PAGE)
    import io

    import pikepdf

    for how in ("form", "clip"):
        both = pikepdf.open(io.BytesIO(document.bytes()))
        both.pages.extend(pikepdf.open(io.BytesIO(tiled(how=how))).pages)
        out = io.BytesIO()
        both.save(out)
        found = convert(out.getvalue())
        assert "page 2 is left out: nothing there goes on on another page" in found.warnings
        lengths = sorted(length for lines in outlines(out.getvalue()).values() for length, _ in lines)
        assert lengths == pytest.approx(sorted(length_of(p, closed=g != "Grain") for g, _, p in sheet()), abs=0.02)


def joined(*files):
    """The pages of several PDFs, one after another."""
    import io

    import pikepdf

    whole = pikepdf.new()
    for data in files:
        whole.pages.extend(pikepdf.open(io.BytesIO(data)).pages)
    out = io.BytesIO()
    whole.save(out)
    return out.getvalue()


@pytest.mark.parametrize("how", ["form", "clip"])
def test_two_sheets_in_one_file_lie_side_by_side(how):
    data = joined(tiled(how=how), tiled(how=how, columns=3, rows=2))
    lines = [*sheet(), *sheet(3, 2)]
    assert convert(data).svg.count(b"<path") == len(lines)
    found = drawing(data)
    lengths = sorted(curve.length() for layer in found.layers for shape in layer.shapes for curve in shape.curves)
    assert lengths == pytest.approx(sorted(length_of(p, closed=g != "Grain") for g, _, p in lines), abs=0.02)
    assert "groups of pages that share none lie side by side" in convert(data).notes[0]


def test_a_page_whose_form_is_turned_is_told_to_be_left_out():
    from pikepdf import Dictionary

    document = Document()
    names = Dictionary(Properties=Dictionary({f"/L{k}": document.group(name) for k, name in enumerate(LAYERS)}))
    form = document.form(drawn(sheet(2, 1)), box=(-100, -100, 9000, 9000), resources=names)
    for motion in ("1 0 0 1 30 30", f"1 0 0 1 {30 - WIDE * MM:.3f} 30", "0 1 -1 0 500 30"):
        document.page(f"q {motion} cm /Fm Do Q", box=PAGE, forms={"/Fm": form})
    assert convert(document.bytes()).warnings == (
        "page 3 is left out: nothing there goes on on another page",
    )  # fmt: skip


def test_a_form_within_a_shared_form_is_read_once_and_a_page_s_own_form_keeps_its_layer():
    from pikepdf import Dictionary

    document = Document()
    names = Dictionary(Properties=Dictionary({f"/L{k}": document.group(name) for k, name in enumerate(LAYERS)}))
    inner = document.form(drawn(sheet(2, 1)), box=(-100, -100, 9000, 9000), resources=names)
    resources = Dictionary(XObject=Dictionary({"/In": inner}))
    outer = document.form("/In Do", box=(-100, -100, 9000, 9000), resources=resources)
    own = document.form("300 300 m 400 400 l 300 400 l s", group="Own")
    for k in range(2):
        shift = f"1 0 0 1 {30 - k * WIDE * MM:.3f} 30 cm"
        document.page(f"q {shift} /Fm Do Q {'/Own Do' if k else ''}", box=PAGE, forms={"/Fm": outer, "/Own": own})
    found = {layer.name: len(layer.shapes) for layer in drawing(document.bytes()).layers}
    assert found == {"Size 10": 2, "Size 12": 2, "Size 14": 2, "Grain": 1, "Own": 1}


def test_sheets_that_are_whole_each_lie_side_by_side():
    document = Document()
    for k in range(3):
        document.page(f"{100 + 20 * k} 100 m 200 {300 + 10 * k} l 300 110 l s", box=PAGE)
    found = convert(document.bytes())
    assert found.notes == ("3 pages, each a sheet of its own: no line runs over an edge",)
    assert len(outlines(document.bytes())["drawing"]) == 3


@pytest.mark.parametrize("how", ["cut", "clip", "form"])
def test_what_stands_on_each_page_is_left_out_and_counted(how):
    note = convert(tiled(how=how)).notes[-1]
    assert note.startswith("24 lines and 12 texts in one place of many pages")
    assert not any("in one place" in note for note in convert(tiled(how=how, furniture=False)).notes)


def test_what_two_whole_sheets_have_in_one_place_is_left_out_with_a_warning():
    document = Document()
    for k in range(2):
        document.page(f"{100 + 20 * k} 100 m 200 {300 + 10 * k} l 300 110 l s 20 20 500 700 re S")
    (warning,) = convert(document.bytes()).warnings
    assert warning.startswith("2 lines in one place of many pages")


def test_thousands_of_shapes_that_pages_share_take_little_memory():
    chance = random.Random(4)
    votes = [complex(chance.uniform(0, 800), chance.uniform(0, 800)) for _ in range(4000)]
    votes[1::2] = [complex(99, 120 + chance.uniform(-0.04, 0.04)) for _ in votes[1::2]]
    tracemalloc.start()
    shift, agreeing = most_agreed(votes)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert (agreeing, abs(shift - (99 + 120j)) < 0.01) == (2000, True)
    assert peak < 20e6  # comparing each with each: 380 MB


def test_pages_of_another_size_are_left_out_with_a_warning():
    document = Document()
    for wide in (400, 500, 400, 600):
        document.page(f"10 10 m {wide - 100} 300 l {wide / 20} 300 l s", box=(0, 0, wide, 400))
    document.page("BT /F1 12 Tf 50 300 Td (words) Tj ET", box=(0, 0, 700, 400))
    document.page("20 10 m 250 300 l 30 300 l s", box=(0, 0, 400, 400))
    (warning,) = (w for w in convert(document.bytes()).warnings if "size" in w)
    assert warning.startswith("pages 2 and 4 are left out, which have another size than the others")


def test_the_only_page_of_its_size_is_a_sheet():
    document = Document()
    for wide in (400, 500):
        document.page("10 10 m 300 300 l 10 300 l s", box=(0, 0, wide, 400))
    found = convert(document.bytes())
    assert found.svg.count(b"<path") == 1
    assert found.warnings[0].startswith("page 2 is left out, which has another size")


def test_pages_that_all_show_the_same_are_refused():
    document = Document()
    for _ in range(3):
        document.page("10 10 m 300 300 l 10 300 l s")
    with pytest.raises(Refusal, match="shows the same lines on 3 pages; save the page"):
        convert(document.bytes())


def test_one_page_needs_no_proof():
    assert (
        convert(one_page(drawn(sheet(1, 1)), box=PAGE, layers=("Size 10", "Size 12", "Size 14", "Grain"))).notes == ()
    )
