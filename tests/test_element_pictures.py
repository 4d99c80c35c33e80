"""A picture of each element: small, without what a camera writes beside it, and wherever the study goes."""

import base64
import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from study_cases import case, study

from coreset.case import Element
from coreset.case.study import MOST_PICTURE, PICTURE
from coreset.errors import OutOfRange, StudyError
from coreset.report.camera_picture import MOST_BYTES
from coreset.store import folder
from coreset.store.book import Book
from coreset.study.library import described, library, pictured
from coreset.study.report.timing import changes
from coreset.web.pictures import small

ROWS = [(1, "set core", 4.0), (2, "set core", 5.0)]


def taken(width=1600, height=1200, form="JPEG", **more):
    """A noisy picture, the worst there is to make small."""
    noise = np.random.default_rng(1).integers(0, 255, (height, width, 3), dtype=np.uint8)
    stream = io.BytesIO()
    Image.fromarray(noise).save(stream, form, **more)
    return stream.getvalue()


def opened(text):
    """The picture of a text."""
    return Image.open(io.BytesIO(base64.b64decode(text.removeprefix(PICTURE))))


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_made_small(form):
    """However noisy, it fits; its proportions stay."""
    text = small(taken(form=form))
    assert text.startswith(PICTURE) and len(text) <= MOST_PICTURE
    assert max(opened(text).size) <= 480 and opened(text).width / opened(text).height == pytest.approx(4 / 3, rel=0.02)


def test_what_the_camera_wrote_beside_it_is_gone_and_it_stands_upright():
    """Place, time and device are not kept; a picture taken on its side is turned as its note says."""
    facts = Image.Exif()
    facts[0x0112], facts[0x010F], facts[0x9003] = 6, "a maker", "2026:11:29 10:00:00"
    text = small(taken(exif=facts.tobytes()))
    assert opened(text).height > opened(text).width and not dict(opened(text).getexif())
    assert b"a maker" not in base64.b64decode(text.removeprefix(PICTURE))


@pytest.mark.parametrize("content", [b"", b"no picture", taken()[:200], b"<svg onload='x()'/>"])
def test_what_is_no_picture_is_refused(content):
    """In words."""
    with pytest.raises(OutOfRange, match="must be a picture"):
        small(content)


def test_a_picture_of_too_many_bytes_is_refused():
    """One byte more than the page takes: the limit and what was found differ."""
    with pytest.raises(OutOfRange, match="^photo .*at most 15,728,640 bytes, got 15,728,641"):
        small(b"0" * (MOST_BYTES + 1), name="photo")


def test_a_picture_of_too_many_pixels_is_not_unpacked():
    """By its head alone: 72 million pixels of one color are some 100 kB."""
    stream = io.BytesIO()
    Image.new("1", (9_000, 8_000)).save(stream, "PNG")
    with pytest.raises(OutOfRange, match="at most 60,000,000 pixels"):
        small(stream.getvalue())


def test_a_large_jpeg_is_made_smaller_while_it_is_unpacked(monkeypatch):
    """Never whole in memory: 60 million pixels would be 180 MB for each copy, on a server that others use."""
    sizes, convert = [], Image.Image.convert
    monkeypatch.setattr(
        Image.Image, "convert", lambda one, *of, **how: sizes.append(one.size) or convert(one, *of, **how)
    )
    stream = io.BytesIO()
    Image.new("RGB", (6400, 4800), (200, 90, 40)).save(stream, "JPEG")
    assert small(stream.getvalue()).startswith(PICTURE)
    assert sizes and max(map(min, sizes)) < 4 * 320  # libjpeg halves it while more than twice what was asked remains


def pair():
    """A case of two studies of one element, the second signed."""
    other = study(ROWS, ["set core"], study="S2", signed="AP1 2026-11-29")
    return case([study(ROWS, ["set core"]), other])


def test_a_picture_is_the_element_s_in_every_study_and_in_the_next_one():
    """The signed study stays as signed; the library shows the picture, and a new study takes it over."""
    text = small(taken())
    found = pictured(pair(), "set core", text)
    assert [one.elements[0].picture for one in found.studies] == [text, ""]
    assert library(found)[0].element.picture == text
    assert described(library(found), Element(name="Set core")).picture == text
    told = changes(pair().studies[0], found.studies[0])
    assert "base64" not in told and "(picture)" in told


def test_a_picture_goes_where_the_study_goes(tmp_path):
    """Folder, workbook and database give it back; what is none is a fault of the folder."""
    text = small(taken())
    found = replace(folder.read(folder_of(tmp_path)), title="pictured")
    name = found.studies[0].elements[0].name
    found = pictured(found, name, text)
    folder.write(found, tmp_path / "again")
    assert folder.read(tmp_path / "again") == found
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("c", found, who="OB1", why="entered")
    assert [e.picture for e in book.open("c").studies[0].elements if e.name == name] == [text]
    book.close()
    bad = tmp_path / "again" / "times" / f"{found.studies[0].study}.toml"
    bad.write_text(bad.read_text(encoding="utf-8").replace(PICTURE, "https://a.example/", 1), encoding="utf-8")
    with pytest.raises(StudyError, match=r"column element\[1\].picture"):
        folder.read(tmp_path / "again")


def folder_of(place):
    """The demo in a folder of its own."""
    from coreset.web.shelf import demo_folder

    folder.write(folder.read(demo_folder()), place / "case")
    return place / "case"
