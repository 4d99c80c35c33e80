"""Record and card of a lifting job: one page each, tagged, with what was measured, worked out, agreed and signed."""

import base64
import io
import zipfile
from dataclasses import replace

import pikepdf
import pytest
from PIL import Image
from test_lift_register import bare
from workbooks import workbook_of

from coreset.assess import lifting_alone
from coreset.brief import dataset, lift_record
from coreset.case import Action
from coreset.case.study import PICTURE
from coreset.errors import StudyError
from coreset.report.blocks import Block
from coreset.store import folder
from coreset.store.book import Book
from coreset.store.folder.workbook import read_workbook
from coreset.web import shelf
from coreset.web.pictures import small

DONE = Action(
    action="A1", pattern="HB10", method="manual", change="rack nearer", owner="SC1", due="2026-05-01", state="done",
    index_before=1.92, index_after=0.98, measured="2026-05-04", assessor="SC7", assessed="2026-05-05",
    reassess_by="2027-05-05",
)  # fmt: skip


@pytest.fixture(scope="module")
def found():
    """The demo's lifts, with an action that was done."""
    return lifting_alone(replace(bare(), actions=(DONE,)))


def job_of(found, pattern, method):
    """One job."""
    return next(job for job in found.jobs if (job.pattern, job.method) == (pattern, method))


def caught(monkeypatch, make, found, job):
    """Bytes of the paper, and the blocks that it was set from."""
    kept = []
    real = lift_record.in_style
    monkeypatch.setattr(lift_record, "in_style", lambda blocks, case: kept.extend(real(blocks, case)) or tuple(kept))
    return make(found, job), kept


def cells(blocks):
    """Every text that stands in the blocks."""
    return [cell for block in blocks for row in block.rows for cell in row] + [block.text for block in blocks]


def test_a_record_is_one_page_with_all_that_it_must_hold(found, monkeypatch):
    """Status, reason, data, working to the index, measures with before and after, assessor, date, next assessment."""
    job = job_of(found, "HB10", "manual")
    paper, blocks = caught(monkeypatch, lift_record.record_pdf, found, job)
    opened = pikepdf.open(io.BytesIO(paper))
    assert len(opened.pages) == 1 and opened.Root.MarkInfo.Marked
    said = cells(blocks)
    assert [block.kind for block in blocks].count("pair") == 1 and any(
        "screen, not a clearance" in text for text in said
    )
    for words in ("housing core into drag", "Lifting index, LI", "rack nearer", "1.92", "0.98", "2026-05-04"):
        assert words in said, words
    assert said[-len(blocks) - 3 : -len(blocks)] == [
        "Assessor, code: SC7", "Date: 2026-05-05", "Assess again by: 2027-05-05",
    ]  # fmt: skip
    worst = next(row for row, _ in lift_record.own_lifts(found, job))
    assert f"{worst.li:.2f}" in said


def test_a_record_of_several_lifts_works_the_whole_job_out(found, monkeypatch):
    """[waters1994] section 2.4: the worst lift first, what each further one adds, the sum of them, on the same page."""
    job = next(one for one in found.jobs if one.pattern and one.kind == "CLI" and one.index is not None)
    paper, blocks = caught(monkeypatch, lift_record.record_pdf, found, job)
    assert len(pikepdf.open(io.BytesIO(paper)).pages) == 1
    (whole,) = [block for block in blocks if "Working of the whole job" in block.text]
    added = [float(row[2].rsplit(" = ", 1)[-1].split()[0]) if " = " in row[2] else row for row in whole.rows[1:]]
    assert len(added) >= 3 and f"{job.index:.2f}"[:3] in "".join(whole.rows[-1])
    terms = whole.rows[-1][2].split(" + ")
    assert len(terms) == len(added) - 1 and sum(map(float, terms)) == pytest.approx(job.index, abs=2e-3)


def taken(size=(4000, 3000), kind="JPEG", **how):
    """A photo as a telephone takes it, with the place where it was taken."""
    made, place = io.BytesIO(), Image.Exif()
    place[0x010F] = "camera of AP1"
    Image.new("RGB", size, (200, 90, 40)).save(made, kind, exif=place, **how)
    return made.getvalue()


def test_a_photo_stands_on_the_record_without_what_the_camera_wrote(found, monkeypatch):
    """The one stored with the latest action, else none; read and written anew, small; the page stays one."""
    job = job_of(found, "HB10", "manual")
    content = taken()
    assert b"camera of AP1" in content
    stored = small(content)
    inside = base64.b64decode(stored.removeprefix(PICTURE))
    assert b"camera of AP1" not in inside
    with Image.open(io.BytesIO(inside)) as opened:
        assert opened.size == (480, 360) and opened.format == "JPEG"
    later = replace(DONE, action="A2", due="2026-06-01")
    actions = (replace(DONE, picture="data:image/jpeg;base64,"), replace(later, picture=stored))
    with_photo = replace(found, case=replace(found.case, actions=actions))
    paper, blocks = caught(monkeypatch, lift_record.record_pdf, with_photo, job)
    opened = pikepdf.open(io.BytesIO(paper))
    assert len(opened.pages) == 1 and ("side", "photo") in [block.pictures for block in blocks]
    images = [one for one in opened.objects if isinstance(one, pikepdf.Stream) and one.get("/Subtype") == "/Image"]
    assert [(int(one.Width), int(one.Height)) for one in images] == [(480, 360)]


def test_a_photo_goes_where_the_case_goes(tmp_path):
    """Folder, ZIP, workbook and database give it back; what is no picture is a fault with its row."""
    stored = small(taken())
    case = folder.read(shelf.demo_folder())
    case = replace(case, actions=(replace(DONE, picture=stored),))
    folder.write(case, tmp_path / "case")
    assert folder.read(tmp_path / "case").actions[0].picture == stored
    with zipfile.ZipFile(io.BytesIO(dataset.archive(dataset.case_files(case)))) as zipped:
        zipped.extractall(tmp_path / "zipped")
    (unpacked,) = (tmp_path / "zipped").rglob("actions.csv")
    assert folder.read(unpacked.parent).actions[0].picture == stored
    (tmp_path / "case.xlsx").write_bytes(workbook_of(case))
    assert read_workbook(tmp_path / "case.xlsx").actions[0].picture == stored
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("c", case, who="SC1", why="photo")
    assert book.open("c").actions[0].picture == stored
    book.close()
    table = tmp_path / "case" / "actions.csv"
    table.write_text(table.read_text(encoding="utf-8").replace(PICTURE, "https://a.example/"), encoding="utf-8")
    with pytest.raises(StudyError, match=r"actions.csv, row 2, column picture"):
        folder.read(tmp_path / "case")


def test_a_job_of_many_lifts_and_long_words_stays_on_one_page(found):
    """What has no room is counted, and stands in the register."""
    case, words = found.case, "rack nearer by thirty centimeters and a turntable under the pallet " * 3
    lift = next(one for one in case.lifts if (one.pattern, one.method) == ("HB10", "manual"))
    lifts = tuple(replace(lift, task=f"housing core {n} into the drag, far side") for n in range(9))
    actions = tuple(replace(DONE, action=f"A{n}", change=words, photo=words) for n in range(7))
    many = lifting_alone(replace(case, lifts=(*case.lifts, *lifts), actions=actions))
    paper = lift_record.record_pdf(many, job_of(many, "HB10", "manual"))
    assert len(pikepdf.open(io.BytesIO(paper)).pages) == 1


def test_a_card_has_three_lines_and_never_a_weight_where_none_may_be_lifted(found, monkeypatch):
    """Beyond the limits of the equation the card says not to lift; a card of a job by hoist rates nothing."""
    for pattern, first in (("GC07", "do not lift it by hand"), ("HB10", "At most")):
        paper, blocks = caught(monkeypatch, lift_record.card_pdf, found, job_of(found, pattern, "manual"))
        assert len(pikepdf.open(io.BytesIO(paper)).pages) == 1
        lines = [block.text for block in blocks if block.kind == "text"]
        assert (
            len(lines) == 4
            and first in lines[0]
            and ("before you lift" in lines[1]) == (pattern == "HB10")
            and "not a clearance" in lines[3]
        )
        monkeypatch.undo()
    hoisted = replace(found, handling=tuple(replace(row, applies=False, li=None, rwl=None) for row in found.handling))
    paper, blocks = caught(monkeypatch, lift_record.card_pdf, hoisted, job_of(found, "HB10", "manual"))
    assert [block for block in blocks if isinstance(block, Block) and block.kind == "picture"] == []
    assert blocks[0].text == "No lift by hand is rated for this job."
