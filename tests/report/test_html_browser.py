"""The sheet in a real browser. Skipped where there is none."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from coolcheck.folder.one import Settings, review_bytes, review_file
from coolcheck.report.html import render, write_folder
from coolcheck.report.options import Options

sync_api = pytest.importorskip("playwright.sync_api")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no browser is installed here")

ROOT = Path(__file__).resolve().parents[2]
PROGRAMS = ROOT / "samples" / "programs"
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync"]  # fmt: skip
HOSTILE = b"%\nO1 (</script><script>alert(1)</script>)\n(<img src=x onerror=alert(2)>)\nG21 G90 G17 G54\nT5 M6\n" + (
    b"S3000 M3\nG43 H5 Z25. M8\nG99 G83 Z-42. R2. Q4. F600. X1. Y1.\nG80\nM9\nM30\n%\n"
)
OVERFLOWING = """[...document.querySelectorAll('body *')].filter(e => {
  for (let at = e; at; at = at.parentElement) if (at.matches('.stretch, .wide-table, .skip, .textures, svg')) return false;
  return e.getBoundingClientRect().right > document.documentElement.clientWidth + 1;
}).map(e => e.tagName + '.' + e.className)"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, headless=True, args=QUIET)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Pages of sample programs, of several in one, and of a hostile one."""
    folder = tmp_path_factory.mktemp("sheets")
    settings, options = Settings(base=ROOT), Options(base=ROOT)
    reviews = {file.stem: review_file(file, settings) for file in sorted(PROGRAMS.glob("*.nc"))}
    told = {name: (review,) for name, review in reviews.items()}
    told["all"] = tuple(reviews.values())
    told["hostile"] = (review_bytes(HOSTILE, "hostile.nc", settings),)
    for name, of in told.items():
        with (folder / f"{name}.html").open("w", encoding="utf-8") as out:
            render(of, out, options)
    write_folder(tuple(reviews.values()), folder / "site", options)
    return {file.stem: file for file in folder.glob("*.html")} | {"site": folder / "site" / "index.html"}


class Seen:
    """A page as a browser sees it, with everything it asked for and complained about."""

    def __init__(self, browser: Any, file: Path, width: int = 1400, **context: Any) -> None:
        self.context = browser.new_context(offline=True, viewport={"width": width, "height": 900}, **context)
        self.page = self.context.new_page()
        self.told: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.told.append(message.text))
        self.page.on("pageerror", lambda fault: self.told.append(str(fault)))
        self.page.on("dialog", lambda dialog: self.told.append(f"dialog: {dialog.message}") or dialog.dismiss())
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(file.as_uri())

    def __enter__(self) -> "Seen":
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()


ALL = ("manifold-drill-tap", "hand-written-messy", "steel-face-finish", "clean-bracket", "hostile", "all", "site")


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("width", [390, 820, 1400])
def test_a_page_fits_asks_for_nothing_and_complains_about_nothing(browser: Any, sheets: Any, name: str, width: int) -> None:
    with Seen(browser, sheets[name], width) as seen:
        wide = seen.page.evaluate("document.documentElement.scrollWidth")
        overflowing = seen.page.evaluate(OVERFLOWING)

        assert seen.asked == [sheets[name].as_uri()]
        assert seen.told == []
        assert wide <= width
        assert overflowing == []


def test_a_hostile_comment_stays_text(browser: Any, sheets: Any) -> None:
    with Seen(browser, sheets["hostile"]) as seen:
        assert seen.told == []
        assert "</script><script>alert(1)</script>" in seen.page.inner_text("#program")
        assert seen.page.locator("script").count() == 1
        assert seen.page.locator("img").count() == 0


def test_a_script_that_is_not_ours_does_not_run(browser: Any, sheets: Any, tmp_path: Path) -> None:
    told = sheets["clean-bracket"].read_text(encoding="utf-8")
    changed = tmp_path / "changed.html"
    changed.write_text(told.replace("</body>", "<script>document.title='owned'</script></body>"), encoding="utf-8")

    with Seen(browser, changed) as seen:
        assert seen.page.title() != "owned"
        assert any("Content Security Policy" in told for told in seen.told)


@pytest.mark.parametrize("name", ["manifold-drill-tap", "hand-written-messy", "clean-bracket"])
def test_text_can_be_read_against_its_ground_in_light_and_dark(browser: Any, sheets: Any, name: str) -> None:
    # WCAG 2.2, success criterion 1.4.3: a contrast of at least 4.5 to 1; relative luminance as it defines it.
    for scheme in ("light", "dark"):
        with Seen(browser, sheets[name], color_scheme=scheme) as seen:
            pairs = seen.page.evaluate(
                """[...document.querySelectorAll('body *')].filter(e => e.checkVisibility() && !e.closest('svg') &&
                  [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())).map(e => {
                    let at = e, ground = 'rgba(0, 0, 0, 0)';
                    for (; at && ground === 'rgba(0, 0, 0, 0)'; at = at.parentElement)
                      ground = getComputedStyle(at).backgroundColor;
                    return [getComputedStyle(e).color, ground, e.className || e.tagName];
                  })"""
            )
        poor = {(scheme, *pair) for pair in map(tuple, pairs) if contrast(pair[0], pair[1]) < 4.5}

        assert poor == set()


def contrast(ink: str, ground: str) -> float:
    bright, dark = sorted((luminance(ink), luminance(ground)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_keys_open_an_operation_and_stretch_time(browser: Any, sheets: Any) -> None:
    with Seen(browser, sheets["manifold-drill-tap"]) as seen:
        page = seen.page
        before = page.evaluate("document.querySelector('.stretch svg').getBoundingClientRect().width")
        page.focus("#zoom-1")
        page.keyboard.press("ArrowRight")
        after = page.evaluate("document.querySelector('.stretch svg').getBoundingClientRect().width")
        page.focus("#operation-2 > summary")
        page.keyboard.press("Enter")

        assert after == pytest.approx(4 * before, rel=0.01)
        assert page.locator("#operation-2").get_attribute("open") is not None
        assert page.locator("#operation-2 .chain").is_visible()


def test_focus_can_be_seen(browser: Any, sheets: Any) -> None:
    with Seen(browser, sheets["manifold-drill-tap"]) as seen:
        outlines = []
        for _ in range(12):
            seen.page.keyboard.press("Tab")
            outlines.append(
                seen.page.evaluate(
                    """(() => { const e = document.activeElement; const s = getComputedStyle(e);
                    const n = e.nextElementSibling; return s.outlineStyle !== 'none' ||
                    (e.type === 'radio' && getComputedStyle(n).outlineStyle !== 'none'); })()"""
                )
            )

        assert all(outlines)


def test_a_link_to_a_line_in_a_closed_program_opens_it(browser: Any, sheets: Any) -> None:
    with Seen(browser, sheets["all"]) as seen:
        last = seen.page.locator("details.program").last
        seen.page.locator(".index tbody a").last.click()
        seen.page.wait_for_function("document.querySelectorAll('details.program[open]').length === 2")

        assert last.get_attribute("open") is not None


def test_nothing_moves_while_the_page_settles(browser: Any, sheets: Any) -> None:
    with Seen(browser, sheets["manifold-drill-tap"], 390) as seen:
        shift = seen.page.evaluate(
            """new Promise(done => { let sum = 0;
              const watch = new PerformanceObserver(l => l.getEntries().forEach(e => sum += e.value));
              watch.observe({type: 'layout-shift', buffered: true});
              setTimeout(() => done(sum), 300); })"""
        )

        assert shift == 0


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    ("name", "fewest", "most"), [("clean-bracket", 1, 2), ("steel-face-finish", 2, 4), ("manifold-drill-tap", 4, 7)]
)
def test_it_prints_on_few_sheets(
    browser: Any, sheets: Any, paper: str, name: str, fewest: int, most: int, tmp_path: Path
) -> None:
    with Seen(browser, sheets[name], color_scheme="dark") as seen:
        data = seen.page.pdf(format=paper, prefer_css_page_size=True)
        seen.page.emulate_media(media="print")

        assert fewest <= len(re.findall(rb"/Type\s*/Page\b", data)) <= most
        assert not seen.page.locator(".jumps").is_visible()
        assert seen.page.locator(".signing").is_visible()
        assert seen.page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
