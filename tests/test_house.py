"""The repository keeps its own promises: who imports whom, sizes, no data in code, no places."""

from __future__ import annotations

import ast
import re
import subprocess
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "firstcrop"
LONGEST_FILE = 400
LONGEST_FUNCTION = 40  # lines, docstring apart
MOST_NUMBERS = 40  # numeric constants in one literal; more is a table and belongs into a TSV

# what each package may import of ours; a dot names one module of a package
ALLOWED = {
    "problems": (),
    "quantity": ("problems",),
    "chem": ("quantity", "problems"),
    "bank": ("chem", "quantity", "problems"),
    "laws": (),
    "liquor": ("laws", "chem"),
    "sheet": ("quantity", "chem", "problems"),
    "forecast": ("sheet", "bank", "liquor", "laws", "chem", "quantity", "problems"),
    "cautions": (
        "forecast.records",
        "sheet.records",
        "bank",
        "laws",
        "chem",
        "quantity",
        "problems",
    ),
    "views": (
        "forecast.records",
        "sheet.records",
        "bank.records",
        "shelf.records",
        "shelf.assay_records",
        "shelf.titration_records",
        "shelf.gum",
        "notebook.records",
        "account.records",
        "cautions.records",
        "quantity",
        "problems",
    ),
    "run": ("forecast", "cautions", "sheet", "bank", "quantity", "problems"),
    "store": ("problems",),
    "shelf": (
        "store",
        "cautions.refuse",
        "forecast",
        "sheet.records",
        "liquor",
        "laws",
        "bank",
        "chem",
        "quantity",
        "problems",
    ),
    "notebook": ("store", "problems"),
    "account": (
        "notebook.records",
        "notebook.chain",
        "run",
        "forecast",
        "sheet",
        "bank",
        "chem",
        "quantity",
        "problems",
    ),
    "papers": ("views", "problems"),
    "desk": (
        "run",
        "cautions.records",
        "account",
        "notebook",
        "shelf",
        "store",
        "papers",
        "views",
        "forecast.records",
        "bank",
        "problems",
    ),
    "server": (
        "desk",
        "run",
        "account",
        "notebook",
        "shelf",
        "store",
        "papers",
        "views",
        "forecast",
        "sheet",
        "bank",
        "quantity",
        "problems",
    ),
    "cli": (
        "desk",
        "server",
        "run",
        "account",
        "notebook",
        "shelf",
        "store",
        "papers",
        "views",
        "forecast",
        "sheet",
        "bank",
        "quantity",
        "problems",
    ),
    "__main__": ("cli",),
    "__init__": (),
}

# files and functions over the rule, each with its reason
LONG_FILES: dict[str, str] = {}
LONG_FUNCTIONS: dict[str, str] = {
    "forecast/assemble/__init__.py:_system": "names the forty arrays of one System, one a line",
    "liquor/newton.py:_apply": "one Newton step over every kind of unknown, compiled as a whole",
    "liquor/pack.py:_new_chem": "names the fields of one compiled record, one a line",
    "liquor/phases.py:solve_phases": "the loop over which solids and gases are present, compiled",
    "liquor/pitzer.py:_pairs": "one double loop over ion pairs, compiled as a whole",
}
DENSE_FILES: dict[str, str] = {
    "quantity/show.py": "sizes of units, which are definitions and not data",
}


@cache
def modules() -> tuple[Path, ...]:
    return tuple(sorted(SOURCE.rglob("*.py")))


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def package(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """The modules of ours a file imports, without the leading `firstcrop.`."""
    found: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports of ours are written in full"
            found.add(node.module or "")
            if node.module == "firstcrop" or (node.module or "").count(".") == 1:
                found |= {f"{node.module}.{alias.name}" for alias in node.names}
    ours = {name.removeprefix("firstcrop.") for name in found if name.startswith("firstcrop.")}
    return ours


def permitted(name: str, owner: str) -> bool:
    allowed = (owner, *ALLOWED[owner])
    return any(name == a or name.startswith(f"{a}.") for a in allowed)


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(SOURCE)))
def test_imports_follow_the_table(path):
    owner = package(path)
    assert owner in ALLOWED, f"{owner} has no row in the import table"
    wrong = sorted(
        name for name in imports(path)
        # `from firstcrop.bank import records` also lists the package itself
        if not permitted(name, owner) and not any(a.startswith(f"{name}.") for a in ALLOWED[owner])
    )  # fmt: skip
    assert wrong == []


def test_no_module_imports_itself_in_a_circle():
    names = {path: module_name(path) for path in modules()}
    graph = {names[p]: top_imports(p) & set(names.values()) for p in modules()}
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " → ".join((*trail, name))
        if name in done:
            return
        for other in sorted(graph[name]):
            if other != name:
                visit(other, (*trail, name))
        done.add(name)

    for name in sorted(graph):
        visit(name, ())


def module_name(path: Path) -> str:
    parts = path.relative_to(SOURCE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def top_imports(path: Path) -> set[str]:
    """Imports made when the module is loaded, not those inside functions."""
    found: set[str] = set()
    for node in tree(path).body:
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("firstcrop"):
            base = (node.module or "").removeprefix("firstcrop").removeprefix(".")
            found.add(base)
            found |= {f"{base}.{alias.name}".removeprefix(".") for alias in node.names}
    return found


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(SOURCE)))
def test_files_are_short(path):
    name = str(path.relative_to(SOURCE))
    length = len(path.read_text(encoding="utf-8").splitlines())
    assert length <= LONGEST_FILE or name in LONG_FILES, f"{name} has {length} lines"


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(SOURCE)))
def test_functions_are_short(path):
    name = str(path.relative_to(SOURCE))
    long = [
        f"{node.name}: {body_length(node)}"
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and body_length(node) > LONGEST_FUNCTION
        and f"{name}:{node.name}" not in LONG_FUNCTIONS
    ]
    assert long == [], name


def body_length(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = node.body[0]
    has_text = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    docstring = (first.end_lineno or 0) - first.lineno + 1 if has_text else 0
    return (node.end_lineno or 0) - node.lineno + 1 - docstring


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(SOURCE)))
def test_tables_of_numbers_are_not_written_in_python(path):
    name = str(path.relative_to(SOURCE))
    dense = [
        f"line {node.lineno}: {numbers(node)} numbers"
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Tuple | ast.List | ast.Dict | ast.Set)
        and numbers(node) > MOST_NUMBERS
    ]
    assert dense == [] or name in DENSE_FILES


def numbers(node: ast.AST) -> int:
    return sum(
        isinstance(n, ast.Constant) and isinstance(n.value, int | float) and n.value is not True
        for n in ast.walk(node)
    )


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(SOURCE)))
def test_no_module_keeps_state(path):
    """No list, dict or set bound at module level: tuples and read-only mappings only."""
    mutable = [
        f"line {node.lineno}"
        for node in tree(path).body
        if isinstance(node, ast.Assign | ast.AnnAssign) and is_mutable(node.value)
        and not names_dunder_all(node)
    ]  # fmt: skip
    assert mutable == []


def is_mutable(value: ast.expr | None) -> bool:
    comprehension = ast.ListComp | ast.DictComp | ast.SetComp
    if isinstance(value, ast.List | ast.Dict | ast.Set | comprehension):
        return True
    called = value.func if isinstance(value, ast.Call) else None
    return isinstance(called, ast.Name) and called.id in ("list", "dict", "set", "defaultdict")


def names_dunder_all(node: ast.Assign | ast.AnnAssign) -> bool:
    targets = node.targets if isinstance(node, ast.Assign) else [node.target]
    return any(isinstance(t, ast.Name) and t.id == "__all__" for t in targets)


def test_exceptions_in_the_lists_still_exist():
    names = {str(path.relative_to(SOURCE)) for path in modules()}
    listed = {*LONG_FILES, *DENSE_FILES, *(f.split(":")[0] for f in LONG_FUNCTIONS)}
    assert listed - names == set()
    for name in LONG_FILES:
        assert len((SOURCE / name).read_text(encoding="utf-8").splitlines()) > LONGEST_FILE, name


def tracked() -> list[Path]:
    try:
        listing = subprocess.run(
            ["git", "-C", str(ROOT), "ls-files", "-z"], capture_output=True, text=True, check=True
        ).stdout.split("\0")
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("not a git work tree")
    files = [ROOT / name for name in listing if name]
    return [path for path in files if path.is_file()]


def test_no_machine_and_no_registry_is_named():
    roots = "|".join(("work", "home", "Users", "root", "mnt", "srv"))
    hosts = "|".join(("pypi" + r"\.org", "python" + "hosted", "index" + "-url", "conda" + r"\.io"))
    pattern = re.compile(rf"(?<![\w./~-])/(?:{roots})/[\w.-]+|{hosts}|localhost:\d")
    found = []
    for path in tracked():
        if path.suffix in (".png", ".pdf", ".svg"):
            continue
        text = path.read_text(encoding="utf-8")
        found += [f"{path.relative_to(ROOT)}: {m.group()}" for m in pattern.finditer(text)]
    assert found == []


def test_the_test_folders_mirror_the_source():
    packages = {p.name for p in SOURCE.iterdir() if p.is_dir() and (p / "__init__.py").exists()}
    folders = {p.name for p in (ROOT / "tests").iterdir() if p.is_dir()}
    assert packages - folders == set()


def test_laws_use_the_names_of_the_nomenclature():
    """Arguments of public functions in `laws/` are names of `docs/nomenclature.md`."""
    table = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
    known = set(re.findall(r"`([a-z_0-9]+)`", table))
    used = {
        f"{path.name}: {argument.arg}"
        for path in sorted((SOURCE / "laws").glob("*.py"))
        for node in tree(path).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        for argument in node.args.args
        if argument.arg not in known
    }
    assert used == set()


def test_every_law_names_its_source_and_its_range():
    for path in sorted((SOURCE / "laws").glob("*_[0-9][0-9][0-9][0-9].py")):
        bound = {
            target.id
            for node in tree(path).body
            if isinstance(node, ast.Assign | ast.AnnAssign)
            for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
            if isinstance(target, ast.Name)
        }
        assert {"SOURCE", "VALID"} <= bound, path.name
