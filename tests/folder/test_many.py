"""Folders of programs: found, bound, reviewed by several processes, remembered, watched."""

import json
import os
import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

import pytest

from coolcheck.folder.cache import Cache
from coolcheck.folder.codec import NotAReview, Packed, PackedHoles
from coolcheck.folder.find import find_programs
from coolcheck.folder.many import Done, review_many, sorted_by_name
from coolcheck.folder.one import Settings, review_file
from coolcheck.folder.watch import changed_programs
from coolcheck.nc.moves import Note
from coolcheck.place import Place
from coolcheck.report import summary
from coolcheck.report.options import Options
from coolcheck.report.review import Review, Waived

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
PROGRAM = (
    b"%\nO1\nG21 G90 G17 G94\nT1 M6 (8. DRILL)\nG0 G54 X0 Y0 S1000 M3\nG43 H1 Z5. M8\nG99 G81 Z-10. R2. F100.\nG80\nM9\nM30\n%\n"
)
DAY = date(2026, 11, 25)


def quiet(text: str) -> None:
    """Takes messages and drops them."""


@pytest.fixture
def cache(tmp_path: Path) -> Iterator[Cache]:
    found = Cache(tmp_path / "cache" / "reviews.sqlite", quiet)
    yield found
    found.close()


def settings(base: Path) -> Settings:
    return Settings(today=DAY, base=base)


def posted(folder: Path, count: int) -> list[Path]:
    paths = []
    for number in range(count):
        path = folder / f"O{number:04}.nc"
        path.write_bytes(PROGRAM.replace(b"O1\n", f"O{number + 1}\n".encode()))
        paths.append(path)
    return paths


def names(folder: Path, patterns: tuple[str, ...] = ("*.nc", "o[0-9]*")) -> list[str]:
    return [path.relative_to(folder).as_posix() for path in find_programs(folder, patterns).programs]


def test_programs_are_found_by_name_in_every_folder_below(tmp_path: Path) -> None:
    for name in ("a.nc", "B.NC", "sub/c.nc", "O1234", "O1234.pdf", "notes.txt", ".hidden/d.nc"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"M30\n")

    assert names(tmp_path) == ["B.NC", "O1234", "a.nc", "sub/c.nc"]


def test_an_ignore_file_counts_for_its_folder_and_those_below(tmp_path: Path) -> None:
    for name in ("a.nc", "old/b.nc", "sub/a.nc", "sub/old/c.nc"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"M30\n")
    (tmp_path / ".coolcheckignore").write_text("old/\n")
    (tmp_path / "sub" / ".coolcheckignore").write_text("/a.nc\n")

    assert names(tmp_path) == ["a.nc"]


def test_links_lead_neither_in_circles_nor_out_of_the_folder(tmp_path: Path) -> None:
    home, elsewhere = tmp_path / "home", tmp_path / "elsewhere"
    home.mkdir(), elsewhere.mkdir()
    (elsewhere / "secret.nc").write_bytes(b"M30\n")
    (home / "real.nc").write_bytes(b"M30\n")
    (home / "circle").symlink_to(home)
    (home / "out.nc").symlink_to(elsewhere / "secret.nc")
    (home / "in.nc").symlink_to(home / "real.nc")

    assert names(home) == ["in.nc", "real.nc"]


def test_a_review_comes_out_of_json_as_it_went_in() -> None:
    for path in sorted((SAMPLES / "programs").glob("*.nc")):
        review = review_file(path, settings(SAMPLES.parent)).plain()
        assert Packed.of(review).unpacked() == review, path.name
        assert PackedHoles(PackedHoles.of(review.holes).packed) == review.holes, path.name


def test_the_end_of_a_waiver_stays_a_day() -> None:
    waived = Waived("dry-drilling", Place("O1.nc", 3), "says", "reason", "", DAY)
    review = Review("O1.nc", waived=(waived,), notes=(Note("unknown-word", Place("O1.nc", 4), "says", affects=("z",)),))

    assert Packed.of(review).unpacked() == review


@pytest.mark.parametrize("text", ["null", "[]", "{}", "[1, 2]", '"text"', "", "[" * 100_000, json.dumps([[]] * 40)])
def test_json_that_is_no_review_is_refused(text: str) -> None:
    whole = Packed.of(Review("O1.nc"))
    with pytest.raises(NotAReview):
        replace(whole, text=text).unpacked()


def test_json_that_is_no_list_of_rules_is_refused() -> None:
    whole = Packed.of(Review("O1.nc"))
    with pytest.raises(NotAReview):
        replace(whole, rules="[[1]]").unpacked()


def test_what_has_not_changed_is_remembered(tmp_path: Path, cache: Cache) -> None:
    paths = posted(tmp_path, 3)
    first = list(review_many(paths, settings(tmp_path), cache))
    paths[1].write_bytes(PROGRAM.replace(b"Z-10.", b"Z-12."))
    second = list(review_many(paths, settings(tmp_path), cache))

    assert [one.was_remembered for one in first] == [False] * 3
    assert sorted((one.path.name, one.was_remembered) for one in second) == [
        ("O0000.nc", True),
        ("O0001.nc", False),
        ("O0002.nc", True),
    ]
    assert [r for r in sorted_by_name(first) if r.program != "O0001.nc"] == [
        r for r in sorted_by_name(second) if r.program != "O0001.nc"
    ]


def test_a_changed_record_makes_a_new_review(tmp_path: Path, cache: Cache) -> None:
    (path,) = posted(tmp_path, 1)
    job = tmp_path / "one.job.yaml"
    job.write_text("job: one\nprograms: ['*.nc']\n")
    list(review_many([path], settings(tmp_path), cache))
    job.write_text("job: one\nprograms: ['*.nc']\ntop: 0 mm\n")
    (again,) = review_many([path], settings(tmp_path), cache)

    assert not again.was_remembered


def test_a_changed_or_new_subprogram_makes_a_new_review(tmp_path: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # paths are named, and subprograms looked for, from the current folder
    main, sub = tmp_path / "main.nc", tmp_path / "O2000.nc"
    main.write_bytes(PROGRAM.replace(b"M9\n", b"M98 P2000\nM9\n"))
    states = []
    for text in (None, b"O2000\nG0 Z10.\nM99\n", b"O2000\nG0 Z11.\nM99\n", b"O2000\nG0 Z11.\nM99\n"):
        if text is not None:
            sub.write_bytes(text)
        (done,) = review_many([main], settings(tmp_path), cache)
        states.append((done.was_remembered, any(note.id == "missing-subprogram" for note in done.review.notes)))

    assert states == [(False, True), (False, False), (False, False), (True, False)]


def test_a_subprogram_by_itself_stands_against_nothing_and_is_called_one(tmp_path: Path, cache: Cache) -> None:
    (tmp_path / "O1.nc").write_bytes(PROGRAM.replace(b"G80\n", b"M98 P2\nG80\n"))
    (tmp_path / "O2.nc").write_bytes(b"O2\nX2.\nX3. (ALLOW DRY-DRILLING BECAUSE IT IS PLASTIC)\nM99\n")
    reviews = sorted_by_name(review_many(find_programs(tmp_path, ("*.nc",)).programs, settings(tmp_path), cache))
    out = StringIO()

    summary.render(reviews, out, Options())

    assert [finding.rule for finding in reviews[1].findings] == ["subprogram-alone"]
    assert ["O2.nc", "subprogram", "0", "0", "1"] in [line.split()[:5] for line in out.getvalue().splitlines()]
    assert out.getvalue().endswith("1 subprogram\n")


def test_any_number_of_workers_and_any_executor_give_the_same(tmp_path: Path) -> None:
    paths = posted(tmp_path, 20)
    without = Cache(None, quiet)
    alone = sorted_by_name(review_many(paths, settings(tmp_path), without, workers=1))
    many = sorted_by_name(review_many(paths, settings(tmp_path), without, workers=2))
    with ThreadPoolExecutor(2) as pool:
        threads = sorted_by_name(review_many(paths, settings(tmp_path), without, executor=pool))

    assert alone == many == threads


def test_a_dask_cluster_does_the_work_as_well(tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    paths = posted(tmp_path, 10)
    without = Cache(None, quiet)
    cluster = distributed.LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None)
    with cluster, distributed.Client(cluster) as client:
        far = sorted_by_name(review_many(paths, settings(tmp_path), without, executor=client.get_executor()))

    assert far == sorted_by_name(review_many(paths, settings(tmp_path), without, workers=1))


def test_one_broken_program_stops_no_other(tmp_path: Path, cache: Cache) -> None:
    paths = posted(tmp_path, 3)
    paths[1].unlink()
    paths[2].write_bytes(bytes(range(256)) * 20)
    done = {one.path.name: one.review for one in review_many(paths, settings(tmp_path), cache)}

    assert done["O0000.nc"].is_reviewed
    assert "cannot be read" in str(done["O0001.nc"].problems[0])
    assert done["O0002.nc"].is_reviewed


def test_an_interrupted_run_leaves_what_it_has_done(tmp_path: Path, cache: Cache) -> None:
    paths = posted(tmp_path, 4)
    work = review_many(paths, settings(tmp_path), cache, workers=1)
    done: Done = next(work)  # type: ignore[assignment]
    work.close()  # type: ignore[attr-defined]
    again = {one.path: one.was_remembered for one in review_many(paths, settings(tmp_path), cache, workers=1)}

    assert again[done.path]
    assert sum(again.values()) == 1


def test_a_damaged_cache_is_begun_anew_and_said_so(tmp_path: Path) -> None:
    file, said = tmp_path / "reviews.sqlite", []
    file.write_bytes(b"this is no database, but long enough to be taken for one " * 20)
    paths = posted(tmp_path, 1)
    for expected in (False, True):
        cache = Cache(file, said.append)
        (done,) = review_many(paths, settings(tmp_path), cache)
        cache.close()
        assert done.was_remembered is expected

    assert len(said) == 1 and "damaged" in said[0]


def test_a_cache_of_another_form_is_begun_anew(tmp_path: Path) -> None:
    file = tmp_path / "reviews.sqlite"
    with sqlite3.connect(file) as base:
        base.execute("CREATE TABLE review (key BLOB PRIMARY KEY, entry TEXT, used INTEGER) WITHOUT ROWID")
    base.close()
    paths, said = posted(tmp_path, 1), []
    for expected in (False, True):
        cache = Cache(file, said.append)
        (done,) = review_many(paths, settings(tmp_path), cache)
        cache.close()
        assert done.was_remembered is expected

    assert said == []


def test_the_rules_of_a_folder_are_kept_once(tmp_path: Path, cache: Cache) -> None:
    paths = posted(tmp_path, 3)
    made = sorted_by_name(review_many(paths, settings(tmp_path), cache))
    remembered = sorted_by_name(review_many(paths, settings(tmp_path), cache))
    with sqlite3.connect(tmp_path / "cache" / "reviews.sqlite") as base:
        kept = base.execute("SELECT (SELECT count(*) FROM review), (SELECT count(*) FROM rules)").fetchone()
    base.close()

    assert kept == (3, 1)
    assert [review.rules for review in remembered] == [review.rules for review in made]


@pytest.mark.parametrize("column", ["entry", "holes", "others", "rules"])
def test_an_entry_that_is_no_review_is_made_again(tmp_path: Path, cache: Cache, column: str) -> None:
    paths = posted(tmp_path, 1)
    list(review_many(paths, settings(tmp_path), cache))
    with sqlite3.connect(tmp_path / "cache" / "reviews.sqlite") as base:
        base.execute(f"UPDATE review SET {column} = '[1, 2]'")
    base.close()
    (done,) = review_many(paths, settings(tmp_path), cache)

    assert not done.was_remembered and done.review.is_reviewed


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_place_that_cannot_be_written_is_gone_without(tmp_path: Path) -> None:
    home = tmp_path / "closed"
    home.mkdir()
    home.chmod(0o500)
    said: list[str] = []
    cache = Cache(home / "reviews.sqlite", said.append)

    assert [one.was_remembered for one in review_many(posted(tmp_path, 1), settings(tmp_path), cache)] == [False]
    assert said and "goes without" in said[0]


def test_watching_waits_until_a_file_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.nc"
    seen = []
    steps = iter(
        [
            lambda: path.write_bytes(b"G21\n"),
            lambda: path.write_bytes(b"G21\nG90\n"),
            lambda: None,
            lambda: None,
            lambda: path.write_bytes(b"G21\nG91\nM30\n"),
            lambda: None,
        ]
    )
    looks = changed_programs(tmp_path, ("*.nc",), pause=lambda seconds: next(steps)())
    for _ in range(7):
        seen.append([one.name for one in next(looks)])

    assert seen == [[], [], [], ["a.nc"], [], [], ["a.nc"]]
