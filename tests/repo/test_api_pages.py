"""The API pages say what the docstrings say."""

from __future__ import annotations

from pathlib import Path

from scripts.api_pages import main, pages

FOLDER = Path(__file__).parents[2] / "docs" / "api"


def test_pages_are_those_that_the_docstrings_make() -> None:
    written = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.md")}
    made = pages()
    assert sorted(written) == sorted(made), "run make docs"
    assert [name for name in made if written[name] != made[name]] == [], "run make docs"


def test_page_of_a_law_holds_its_signature_unit_and_range() -> None:
    page = pages()["laws.penetrometer.md"]
    assert "\n## cbr_d6951\n" in page
    assert "cbr_d6951(penetration: ArrayLike, soil: Soil = 'general') -> Floats\n" in page
    assert "Penetration of one blow of the 8 kg hammer [m/blow]." in page
    assert "Holds for `penetration` 0.0026 to 0.16 m/blow:" in page


def test_page_of_a_module_that_is_gone_goes_too(tmp_path: Path) -> None:
    (tmp_path / "laws.alchemy.md").write_text("gone", encoding="utf-8")
    main(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(pages())
