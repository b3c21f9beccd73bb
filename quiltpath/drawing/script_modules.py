"""The modules of a page's script: each by its address, or joined into one for a page on its own.

Addresses are paths below the package ("page/main.js"), so that one module imports another by the
same relative path whether a server hands them out, a page holds them or a type checker reads them.
"""

from __future__ import annotations

import posixpath
import re
from functools import cache
from importlib.resources import files

IMPORT = re.compile(r'^import (?:[^";]* from )?"(\.[^"]+)";\n', re.MULTILINE)
EXPORT = re.compile(r"^export (?=(?:async )?(?:function|const|let|class)\b)", re.MULTILINE)


@cache
def modules_of(entry: str) -> dict[str, str]:
    """The text of a module and of all that it imports by their addresses, what is imported first.

    Args:
        entry: address of the module that the page begins with.
    """
    found: dict[str, str] = {}
    _gather(entry, found, ())
    return found


def _gather(address: str, found: dict[str, str], above: tuple[str, ...]) -> None:
    if address in above:
        raise ValueError(f"modules import each other in a circle: {' > '.join((*above, address))}")
    if address in found:
        return
    text = files("quiltpath").joinpath(address).read_text(encoding="utf-8")
    for named in IMPORT.findall(text):
        imported = posixpath.normpath(posixpath.join(posixpath.dirname(address), named))
        _gather(imported, found, (*above, address))
    found[address] = text


def joined(entry: str) -> str:
    """A module and all that it imports as one script of the type module.

    Their outermost names share one scope then: no two of them may be the same, and nothing is
    imported under another name. A browser refuses the script where that does not hold.
    """
    texts = (EXPORT.sub("", IMPORT.sub("", text)) for text in modules_of(entry).values())
    return "\n".join(text.strip() + "\n" for text in texts)
