"""`coolcheck folder --format html`: a folder of pages, or one file."""


def test_a_folder_of_pages_is_the_same_from_the_cache_as_fresh(shop, coolcheck, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    first, _, told = coolcheck("folder", "programs", "--format", "html", "--output", tmp_path / "fresh", "--workers", "1")
    second, _, _ = coolcheck("folder", "programs", "--format", "html", "--output", tmp_path / "again", "--workers", "1")
    fresh = {file.name: file.read_bytes() for file in (tmp_path / "fresh").iterdir()}

    assert (first, second) == (1, 1), told
    assert len(fresh) == 1 + len(list((shop / "programs").glob("*.nc")))
    assert fresh == {file.name: file.read_bytes() for file in (tmp_path / "again").iterdir()}


def test_a_name_that_ends_in_html_is_one_file(shop, coolcheck, tmp_path):
    coolcheck("folder", "programs", "--format", "html", "--output", tmp_path / "all.html", "--workers", "1")

    assert (tmp_path / "all.html").is_file()
    assert "8 programs reviewed" in (tmp_path / "all.html").read_text(encoding="utf-8")


def test_a_folder_is_no_place_for_a_format_of_one_file(shop, coolcheck, tmp_path):
    code, _, told = coolcheck("folder", "programs", "--format", "json", "--output", tmp_path)

    assert code == 2
    assert "is a folder; --format json writes one file" in told
