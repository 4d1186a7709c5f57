"""The folder list is the pipeline, and imports run one way along it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import riskdoc

ROOT = Path(riskdoc.__file__).parent
ORDER = (
    *("tables", "i18n", "mechanics", "quantities", "job", "analysis", "judgement", "mitigation"),
    *("conditions", "hazards", "requirements", "signing", "export"),
    *("report", "verification", "cli"),
)
MAY: dict[str, set[str]] = {
    "mechanics": set(),
    "tables": set(),
    "i18n": set(),
    "quantities": {"mechanics", "i18n"},
    "job": {"quantities", "tables", "i18n"},
    "analysis": {"quantities", "mechanics", "tables", "i18n", "job"},
} | {
    each: set(ORDER[: ORDER.index(each)]) - {"mechanics"}
    for each in ORDER[ORDER.index("judgement") :]
}
"""Which folder may import which. `mechanics` stands alone; only `analysis` uses its equations."""
START = {"__main__.py": {"cli"}}
"""What starts the command stands in no folder."""


def imports(folder: Path) -> list[tuple[str, str, str]]:
    """(importing folder, imported folder, file) for every import of ours."""
    found = []
    for file in sorted(folder.rglob("*.py")):
        here = file.relative_to(folder).parts[0]
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            names = [node.module] if isinstance(node, ast.ImportFrom) and node.module else []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            for name in names:
                parts = name.split(".")
                if parts[0] == "riskdoc" and len(parts) > 1:
                    found.append((here, parts[1], str(file.relative_to(folder))))
    return found


def against_the_plan(found: list[tuple[str, str, str]]) -> list[str]:
    return [
        f"{file} ({here}) imports {there}"
        for here, there, file in found
        if here != there and there not in (MAY | START).get(here, set())
    ]


def test_imports_run_one_way():
    found = imports(ROOT)

    assert len(found) > 60, "the check found almost nothing to look at"
    assert {each.parent.name for each in ROOT.glob("*/__init__.py")} == set(MAY)
    assert against_the_plan(found) == []


def test_a_reversed_import_is_seen(tmp_path):
    """The check can fail: an equation that reads a job is against the plan."""
    for name in ("mechanics", "analysis"):
        (tmp_path / name).mkdir()
    (tmp_path / "mechanics" / "bad.py").write_text("from riskdoc.judgement.verdicts import Check\n")
    (tmp_path / "analysis" / "good.py").write_text("import riskdoc.mechanics.loads\n")

    assert against_the_plan(imports(tmp_path)) == ["mechanics/bad.py (mechanics) imports judgement"]


def test_only_the_agreed_files_stand_at_the_top():
    """README, DEVELOPERS, pyproject, six folders; dotfiles and what git ignores besides."""
    top = ROOT.parent
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "riskdoc", "templates", "jobs",
              "tests", "output"}  # fmt: skip
    made = {"build", "riskdoc.egg-info"}
    found = {each.name for each in top.iterdir() if not each.name.startswith(".")}

    assert found - made == agreed


def test_tests_assert_something():
    """A test that asserts nothing is a defect."""
    folder, empty, count = Path(__file__).parents[1], [], 0
    for file in sorted(folder.rglob("test_*.py")):
        if "bench" in file.parts:
            continue
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if not isinstance(node, ast.FunctionDef) or not node.name.startswith("test_"):
                continue
            count += 1
            inside = ast.dump(node)
            if not any(word in inside for word in ("Assert(", "raises", "agrees", "assert_")):
                empty.append(f"{file.name}::{node.name}")

    assert count > 150
    assert empty == []


def test_every_equation_has_a_printed_value_and_a_law():
    """Each public equation is run in `tests/published` and again in `tests/laws`."""
    tests = Path(__file__).parents[1]
    texts = {
        kind: "\n".join(f.read_text("utf-8") for f in (tests / kind).glob("test_*.py"))
        for kind in ("published", "laws")
    }
    equations = [
        node.name
        for file in (ROOT / "mechanics").glob("*.py")
        if file.stem not in ("__init__", "values", "directions", "equation", "by_count", "pairs")
        for node in ast.parse(file.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]
    silent = [(kind, name) for kind, text in texts.items() for name in equations
              if not re.search(rf"\b{name}\b", text)]  # fmt: skip

    assert len(equations) > 35
    assert silent == []


LIBRARIES = {"pyhanko", "pyhanko_certvalidator", "pydyf", "pypdf", "weasyprint"}


def private_names(folder: Path) -> set[str]:
    """Names beginning with one underscore that we read from, or put in the place of, a library's.

    What is read of anything but `self` is another's, for none of ours is read so, but for
    `os._exit`, which is the documented name; so is a method of a class made from one of theirs.
    """
    trees = [ast.parse(file.read_text("utf-8")) for file in sorted(folder.rglob("*.py"))]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    theirs = {
        alias.asname or alias.name
        for node in nodes
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in LIBRARIES
        for alias in node.names
    }
    replaced = {
        part.name
        for node in nodes
        if isinstance(node, ast.ClassDef) and {ast.unparse(base) for base in node.bases} & theirs
        for part in node.body
        if isinstance(part, ast.FunctionDef)
    }
    read = {
        node.attr
        for node in nodes
        if isinstance(node, ast.Attribute)
        and ast.unparse(node.value) not in ("self", "cls")
        and ast.unparse(node) != "os._exit"
    }
    return {name for name in read | replaced if re.match(r"_[a-z]", name)}


def test_every_private_name_of_a_library_is_listed_with_why():
    text = (ROOT.parent / "DEVELOPERS.md").read_text("utf-8")
    listed = set(re.findall(r"^\| `(_\w+)` \|.*\|.*\w+.*\|$", text, re.MULTILINE))

    assert private_names(ROOT) == listed


def test_a_private_name_that_is_read_or_replaced_is_seen(tmp_path):
    (tmp_path / "it.py").write_text(
        "from pypdf import PdfReader\nclass It(PdfReader):\n    def _get(self): return 1\n"
        "def of(stream): return stream._raw, _ours(stream)\ndef _ours(it): return it\n"
    )

    assert private_names(tmp_path) == {"_get", "_raw"}
