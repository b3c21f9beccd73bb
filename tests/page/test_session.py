"""The file behind the page: saved whole, never over somebody else's changes; shown as it is."""

from __future__ import annotations

import json
import os
import stat
import threading
import time
from pathlib import Path

import pytest

from quiltpath.documents.lying import lying_figure
from quiltpath.documents.preview_page import figures, payload
from quiltpath.errors import InputError
from quiltpath.page.session import Session
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.machine_parts import Refusal
from tests.page.served import PAGE_JOBS, PLAIN, copied, plain, serving

CLOSER = {"entry": 0, "key": "spacing", "value": {"mm": 20, "about": True}}


def test_the_parts_together_are_what_the_whole_job_says(tmp_path: Path) -> None:
    """The same Python: data and figures equal those of a page made from the changed file."""
    with serving(plain(tmp_path)) as served:
        parts = served.draw(CLOSER)
    whole = compute(parse(PLAIN.replace("about 40 mm", "about 20 mm")))
    data = {key: value for part in parts for key, value in part["data"].items()}
    assert data == json.loads(json.dumps(payload(whole)))
    assert [tuple(row) for part in parts for row in part["figures"]] == figures(whole)
    assert parts[-1]["warnings"] == [finding.text for finding in whole.for_a_person]
    assert parts[-1]["lying"] == lying_figure(whole)


def test_the_screen_says_of_the_machine_what_make_says(tmp_path: Path) -> None:
    """Parts and their time where it can sew the runner, every lay that would do where it cannot."""
    hooped = PLAIN + '[machine]\nprofile = "hoop-200x300"\n'
    framed = PLAIN + '[machine]\nprofile = "short.toml"\n'
    (tmp_path / "short.toml").write_text(
        'title = "A short frame"\nkind = "longarm"\nformats = ["dst"]\nturns = false\n'
        'field = { along = "250 mm", across = "200 mm" }\n'
    )
    file = tmp_path / "runner.toml"
    for text in (hooped, framed):
        file.write_text(text, encoding="utf-8")
        with serving(file) as served:
            parts = served.draw(CLOSER)
        whole = compute(
            parse(text.replace("about 40 mm", "about 20 mm"), name="runner.toml", folder=tmp_path)
        )
        rows = dict(tuple(row) for part in parts for row in part["figures"])
        assert rows == dict(figures(whole))
        assert parts[-1]["warnings"] == [finding.text for finding in whole.for_a_person]
        if isinstance(whole.machine, Refusal):
            assert any("laid crosswise, a quarter turned" in said for said in parts[-1]["warnings"])
        else:
            assert rows["Machine"].startswith(f"{whole.as_sewn.parts} hoopings")
            assert rows["Time"] == f"{whole.as_sewn.minutes:.0f} min"
            assert parts[-1]["data"]["time"] == payload(whole)["time"]


def test_what_is_reused_changes_no_answer(tmp_path: Path) -> None:
    """There and back over several changes, each answer as if it were asked first."""
    change = {"entry": 2, "key": "clearance", "value": 20}
    angle = {"entry": 2, "key": "angles", "value": [30, -60]}
    with serving(copied("harvest-supper", tmp_path)) as served:
        served.draw()
        again = [served.draw(change), served.draw(change, angle), served.draw(change)]
    with serving(served.file) as fresh:
        first = [fresh.draw(change)]
    assert again[0] == again[2] == first[0]
    assert again[1] != again[0]


def test_a_later_question_ends_an_earlier_one(tmp_path: Path) -> None:
    session = Session(plain(tmp_path), tmp_path / "out", PAGE_JOBS)
    early = session.drawn([])
    assert next(early)["part"] == 0
    late = list(session.drawn([CLOSER]))
    assert [part["part"] for part in late] == [0, 1, 2]
    assert list(early) == []


def test_the_cloth_is_sent_again_only_when_it_is_another(tmp_path: Path) -> None:
    session = Session(plain(tmp_path), tmp_path / "out", PAGE_JOBS)
    longer = {"key": "setting", "section": "runner", "name": "length", "value": "500 mm"}
    first = next(session.drawn([]))
    finer = {"key": "stitch.length", "value": 2.5}
    same = next(session.drawn([finer], held=first["cloth"]))
    other = next(session.drawn([longer], held=same["cloth"]))
    back = next(session.drawn([], held=other["cloth"]))
    assert {"outline", "motifs", "bounds"} <= set(first["data"])
    assert same["cloth"] == first["cloth"] and "outline" not in same["data"]
    assert set(same["data"]) | {"outline"} < set(other["data"]) and other["cloth"] != same["cloth"]
    assert back["data"] == first["data"] and back["cloth"] == first["cloth"]


def test_saving_keeps_comments_and_is_what_the_page_showed(tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        status, text = served.save(CLOSER)
    assert (status, json.loads(text)) == (200, {"saved": True})
    assert served.file.read_text() == PLAIN.replace("about 40 mm", "about 20 mm")
    assert [path.name for path in tmp_path.iterdir()] == ["mat.toml"]


def test_undo_after_saving_goes_back_behind_it(tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        served.save(CLOSER)
        served.save()
    assert served.file.read_text() == PLAIN


def test_a_file_that_changed_meanwhile_is_never_written_over(tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        served.file.write_text(PLAIN + "# somebody else\n")
        status, text = served.save(CLOSER)
        assert status == 422 and "has changed on disk" in text
        assert served.file.read_text() == PLAIN + "# somebody else\n"
        assert json.loads(served.post("/progress", {})[1])["changed"] is True
        assert served.post("/load", {})[0] == 200
        assert json.loads(served.post("/progress", {})[1])["changed"] is False
        assert served.save(CLOSER)[0] == 200
    assert served.file.read_text().endswith("# somebody else\n")


def test_a_page_that_is_out_of_date_is_told_so(tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        old = served.server.session.base
        served.file.write_text(PLAIN + "# more\n")
        served.post("/load", {})
        status, text = served.post("/draw", {"base": old, "changes": [CLOSER]})
    assert status == 422 and "load this page again" in text


def test_a_reader_finds_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    """Read over and over while it is being saved: never half a file."""
    session = Session(plain(tmp_path), tmp_path / "out", PAGE_JOBS)
    allowed = {PLAIN, PLAIN.replace("about 40 mm", "about 20 mm")}
    seen: set[str] = set()
    stop = threading.Event()

    def read() -> None:
        while not stop.is_set():
            seen.add(session.file.read_text())

    reader = threading.Thread(target=read)
    reader.start()
    for turn in range(20):
        session.save([CLOSER] if turn % 2 == 0 else [])
    stop.set()
    reader.join()
    assert seen <= allowed


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    file = plain(tmp_path)
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(InputError):
            Session(file, tmp_path / "out", PAGE_JOBS).save([CLOSER])
    finally:
        tmp_path.chmod(0o700)
    assert file.read_text() == PLAIN


def test_line_ends_mark_mode_and_links_stay(tmp_path: Path) -> None:
    real = tmp_path / "real.toml"
    real.write_bytes(b"\xef\xbb\xbf" + PLAIN.replace("\n", "\r\n").encode())
    real.chmod(0o640)
    link = tmp_path / "link.toml"
    link.symlink_to(real)
    Session(link, tmp_path / "out", PAGE_JOBS).save([CLOSER])
    wanted = PLAIN.replace("about 40 mm", "about 20 mm").replace("\n", "\r\n")
    assert real.read_bytes() == b"\xef\xbb\xbf" + wanted.encode()
    assert link.is_symlink() and stat.S_IMODE(real.stat().st_mode) == 0o640


def test_a_file_that_went_wrong_on_disk_is_told_and_the_last_good_one_stays(tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        served.file.write_text("[runner\n")
        status, text = served.post("/load", {})
        assert status == 422 and "line 1: " in text
        assert len(served.draw()) == 3


def test_make_tells_how_far_it_is(tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        seen: list[dict[str, object]] = []
        made: list[tuple[int, str]] = []
        work = threading.Thread(target=lambda: made.append(served.post("/make", {})))
        work.start()
        while work.is_alive():
            seen.append(json.loads(served.post("/progress", {})[1]))
            time.sleep(0.01)
        work.join()
    assert made[0][0] == 200
    names = json.loads(made[0][1])["files"]
    assert set(names) <= {p.name for p in (tmp_path / "out").rglob("*")} | set(names)
    assert (tmp_path / "out" / "report.json").is_file() and "report.json" in names
    assert any(at["running"] for at in seen)


@pytest.mark.usefixtures("designs_one_by_one")
def test_cards_are_compared_or_nothing_is_written(tmp_path: Path) -> None:
    session = Session(plain(tmp_path), tmp_path / "out", PAGE_JOBS)
    one = {"name": "as it is", "changes": []}
    for cards in (None, [], [one], [one, 3], [one] * 13):
        with pytest.raises(InputError, match="keep"):
            session.compare(cards)
    other = {"name": "closer", "changes": [{"key": "spacing", "value": -3, "entry": 0}]}
    with pytest.raises(InputError):
        session.compare([one, other])
    assert not (tmp_path / "out-compare").exists()
    other = {"name": "closer", "changes": [CLOSER]}
    made = session.compare([one, other])
    assert made["folder"] == "out-compare"
    assert set(made["files"]) == {path.name for path in (tmp_path / "out-compare").iterdir()}
    told = json.loads(session.made("compare/compare.json") or b"")
    assert [option["label"] for option in told["options"]] == ["as it is", "closer"]
    assert told["options"][1]["stitches"] > told["options"][0]["stitches"]
    assert session.made("set/compare.json") is session.made("compare/none.txt") is None


@pytest.mark.usefixtures("designs_one_by_one")
def test_cards_are_compared_beside_a_set_in_the_current_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mats").mkdir()
    file = plain(tmp_path / "mats")
    monkeypatch.chdir(file.parent)
    other = {"name": "closer", "changes": [CLOSER]}
    made = Session(file, Path(), PAGE_JOBS).compare([{"name": "as it is", "changes": []}, other])
    assert made["folder"] == "mats-compare"
    assert (tmp_path / "mats-compare" / "compare.html").is_file()
