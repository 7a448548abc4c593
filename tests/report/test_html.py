import re
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256
from html.parser import HTMLParser
from io import StringIO
from pathlib import Path

import pytest
from made_reviews import BROKEN, CLEAN, DEEP_PECK, NOTE_PLACE, OPEN, OPERATION, OPTIONS, PROGRAM, REVIEW

from coolcheck.place import Place
from coolcheck.report import FORMATS
from coolcheck.report.drawn import Drawn, Need
from coolcheck.report.excerpts import Excerpt
from coolcheck.report.html import page_names, render, write_folder
from coolcheck.report.review import Review
from coolcheck.report.strips import Strip

HOSTILE = "(</script><script>alert(1)</script><img src=x onerror=alert(2)>)"
DRAWN = Drawn(
    strips=(Strip(3, 425.3, 61.5, "0,0 3000,8000 6150,0"),),
    needs=(Need(3, 20.0, 32.04, 5.0, None, ()),),
    excerpts=(Excerpt(PROGRAM, 812, 212, "N210 T12 M6\nN211 S2600 M3\nN212 G83 Z-80. Q6.\nN213 X30."),),
)
VOID = {"meta", "link", "br", "img", "input", "hr"}


class Page(HTMLParser):
    """Every tag with its attributes, text outside script and style, and what was closed that was not open."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self.wrong: list[str] = []
        self.code: dict[str, str] = {}
        self._open: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self._open or self._open.pop() != tag:
            self.wrong.append(tag)

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] in ("script", "style"):
            self.code[self._open[-1]] = data
        else:
            self.said.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.said).split())

    def all(self, name: str) -> list[str]:
        return [value for _, attrs in self.tags if (value := attrs.get(name)) is not None]


def page(*reviews: Review) -> str:
    out = StringIO()
    render(reviews, out, OPTIONS)
    return out.getvalue()


def test_html_is_one_of_the_formats() -> None:
    assert FORMATS["html"].NAME == "html"


@pytest.mark.parametrize("review", [REVIEW, CLEAN, OPEN, BROKEN, replace(REVIEW, drawn=DRAWN)], ids=lambda r: r.program)
def test_every_tag_is_closed_and_every_name_is_there_once(review: Review) -> None:
    seen = Page(page(review))
    names = seen.all("id")

    assert seen.wrong == []
    assert len(names) == len(set(names))
    assert {link[1:] for link in seen.all("href") if link.startswith("#")} <= set(names)


def test_the_verdict_and_what_to_do_first_come_first() -> None:
    text = Page(page(REVIEW)).text

    assert text.index("Not ready to run unattended") < text.index("Mend first") < text.index("Machine time")
    assert "T12 pecks 14 times where its record allows one pass (and 2 more like it). Drill in one stroke." in text


def test_an_index_says_what_is_wrong_and_what_to_do() -> None:
    index = Page(page(REVIEW, BROKEN)).text.partition("NC program")[0]

    assert "T12 pecks 14 times where its record allows one pass (and 2 more like it). Drill in one stroke." in index


def test_a_program_that_could_not_be_read_says_why() -> None:
    text = Page(page(BROKEN)).text

    assert "This program was not reviewed" in text
    assert "there is no such file. Check the name." in text


def test_nothing_of_a_program_becomes_markup() -> None:
    finding = replace(DEEP_PECK, says=f"T12 {HOSTILE}", do=HOSTILE, why=HOSTILE)
    drawn = replace(DRAWN, excerpts=(Excerpt(PROGRAM, 300, 214, f"N1 {HOSTILE}"),))
    operation = replace(OPERATION, title=HOSTILE, kind=HOSTILE)
    review = replace(REVIEW, findings=(finding,), operations=(operation,), drawn=drawn, quotes={(PROGRAM, 214): HOSTILE})
    written = page(review)
    seen = Page(written)

    assert written.count("<script") == 1
    assert "<img" not in written
    assert seen.text.count("alert(1)") >= 5
    assert seen.wrong == []


def test_the_policy_knows_style_and_script_by_their_hashes_and_lets_in_nothing_else() -> None:
    seen = Page(page(REVIEW))
    policy = next(a["content"] for t, a in seen.tags if a.get("http-equiv") == "Content-Security-Policy") or ""

    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    for kind in ("style", "script"):
        hashed = b64encode(sha256(seen.code[kind].encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{hashed}'" in policy


def test_no_attribute_holds_style_or_script_and_nothing_is_fetched() -> None:
    seen = Page(page(replace(REVIEW, drawn=DRAWN)))
    attributes = {name for _, attrs in seen.tags for name in attrs}

    assert "style" not in attributes
    assert not {name for name in attributes if name.startswith("on")}
    assert seen.all("src") == []
    assert all(link.startswith("#") for link in seen.all("href"))
    assert "url(http" not in seen.code["style"]
    assert "@import" not in seen.code["style"]


def test_characters_that_turn_a_line_round_are_written_out() -> None:
    review = replace(REVIEW, findings=(replace(DEEP_PECK, says="safe \u202e gnihton"),))

    assert "\u202e" not in page(review)
    assert "\\u202e" in page(review)


def test_the_same_review_gives_the_same_bytes() -> None:
    assert page(REVIEW, CLEAN) == page(REVIEW, CLEAN)
    assert page(REVIEW, CLEAN) == page(CLEAN, REVIEW)


def test_the_first_weak_link_is_marked_and_what_lies_beyond_is_apart() -> None:
    written = page(REVIEW)

    assert written.count("first weak link") == 1
    assert re.search(r'<li class="weak">.*holder', written)
    assert re.search(r'<li class="before">.*commanded', written)


def test_findings_stand_under_their_lines_and_what_is_left_out_is_said() -> None:
    text = Page(page(replace(REVIEW, drawn=DRAWN))).text

    assert "211 lines left out 212 N210 T12 M6" in text
    assert "214 N212 G83 Z-80. Q6. error T12 pecks 14 times where its record allows one pass" in text
    assert "215 N213 X30. 1 finding as in line 214" in text
    assert "597 lines left out to the end" in text


def test_missing_fields_are_a_list_to_fill_in() -> None:
    text = Page(page(OPEN)).text

    assert "To fill in" in text
    assert "holder collet-a holders/collet-a.yaml is the collet sealed around the shank? sealed:" in text


def test_needed_and_there_are_compared_in_words_too() -> None:
    text = Page(page(replace(REVIEW, drawn=DRAWN))).text

    assert "20 bar needed, 32 bar there +60 %" in text
    assert "5 L/min needed, what is there not known" in text


def test_a_waiver_is_shown_with_its_reason_and_end() -> None:
    text = Page(page(REVIEW)).text

    assert "T3 runs fast: tried and proved here speed-too-high, by the shop, until 2030-12-31" in text


def test_every_picture_says_what_it_shows_to_those_who_cannot_see_it() -> None:
    written = page(replace(REVIEW, drawn=DRAWN))

    pictures = re.findall(r'<svg[^>]*role="img"[^>]*>(.{7})', written)
    assert len(pictures) >= 3
    assert set(pictures) == {"<title>"}


def test_several_reviews_have_an_index_worst_first() -> None:
    text = Page(page(CLEAN, OPEN, REVIEW, BROKEN)).text
    order = [text.index(word) for word in ("not read ", "not ready ", "cannot tell ", " ready ")]

    assert text.startswith("4 programs reviewed")
    assert order[:3] == sorted(order[:3])


def test_a_folder_has_an_index_and_a_page_for_each_program(tmp_path: Path) -> None:
    write_folder((CLEAN, REVIEW, BROKEN), tmp_path / "out", OPTIONS)
    written = {file.name: file.read_text(encoding="utf-8") for file in (tmp_path / "out").iterdir()}
    index = Page(written.pop("index.html"))

    assert set(written) == {"programs_O1203.nc.html", "programs_clean.nc.html", "programs_gone.nc.html"}
    assert [link for link in index.all("href") if link != "#start"] == [
        "programs_gone.nc.html", "programs_O1203.nc.html", "programs_clean.nc.html"
    ]  # fmt: skip
    assert 'href="index.html"' in written["programs_clean.nc.html"]


def test_programs_whose_names_look_alike_get_pages_of_their_own() -> None:
    names = page_names(["a/O1.nc", "a_O1.nc", "A/o1.nc", "../../x", ""])

    assert len({name.lower() for name in names}) == 5
    assert not any("/" in name or name.startswith(".") for name in names)


def test_a_note_in_a_place_without_text_still_has_its_page() -> None:
    lost = replace(DEEP_PECK, where=Place("elsewhere/O9.nc", NOTE_PLACE.line), also=())

    assert "elsewhere/O9.nc" in Page(page(replace(REVIEW, findings=(lost,), quotes={}))).text


def test_many_findings_are_folded_and_counted() -> None:
    many = tuple(replace(DEEP_PECK, where=Place(PROGRAM, line), also=()) for line in range(1, 51))

    assert "20 more, less harmful" in Page(page(replace(REVIEW, findings=many))).text


def test_what_a_starting_line_accepts_is_shown_as_such_and_stands_against_running_unattended() -> None:
    text = Page(page(replace(REVIEW, findings=(), known=(DEEP_PECK,), accepted=3))).text

    assert "Not ready to run unattended (1 accepted)" in text
    assert "1 accepted by the starting line; they stand against running unattended" in text
    assert "Nothing but what is waived or accepted below." in text
