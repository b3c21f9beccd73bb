"""A page's modules: each once, what is imported first, joined into one where the page is alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from quiltpath.drawing import script_modules
from quiltpath.drawing.script_modules import joined, modules_of


@pytest.fixture
def written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setattr(script_modules, "files", lambda _: tmp_path)
    modules_of.cache_clear()
    yield tmp_path
    modules_of.cache_clear()


def write(folder: Path, **texts: str) -> None:
    for name, text in texts.items():
        path = folder / f"{name.replace('__', '/')}.js"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")


def test_what_is_imported_comes_first_and_once(written: Path) -> None:
    write(
        written,
        page__main='import { b } from "./b.js";\nimport "../low/a.js";\nb();\n',
        page__b='import {\n  a,\n} from "../low/a.js";\nexport function b() { a(more); }\n',
        low__a="export const more = 1;\nexport async function a() {}\n",
    )
    assert list(modules_of("page/main.js")) == ["low/a.js", "page/b.js", "page/main.js"]
    assert joined("page/main.js") == (
        "const more = 1;\nasync function a() {}\n\nfunction b() { a(more); }\n\nb();\n"
    )


def test_modules_that_import_each_other_are_refused(written: Path) -> None:
    write(written, page__a='import "./b.js";\n', page__b='import "./a.js";\n')
    with pytest.raises(ValueError, match=r"page/a\.js > page/b\.js > page/a\.js"):
        modules_of("page/a.js")
