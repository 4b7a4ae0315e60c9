"""The command line with a forecast made by hand in place of the engine."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace

import pytest

from firstcrop.cli import asking, entry
from firstcrop.cli.lines import plain, wrapped
from firstcrop.cli.pages import report_page
from firstcrop.forecast.records import Forecast
from firstcrop.problems import Severity
from firstcrop.sheet.records import Preparation
from firstcrop.views.report import report
from sample_forecast import sample


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "alum.md"
    path.write_text("\n".join(sample().preparation.source_lines), encoding="utf-8")
    return str(path)


@pytest.fixture
def engine(monkeypatch):
    """The sample in place of a real forecast; `engine(forecast)` changes it."""

    def use(forecast: Forecast) -> None:
        monkeypatch.setattr(asking, "forecast_text", lambda text, shelf=None, draws=0: forecast)
        monkeypatch.setattr(asking, "sources", dict)

    use(sample())
    return use


def without_errors() -> Forecast:
    kept = tuple(p for p in sample().problems if p.severity is not Severity.ERROR)
    return replace(sample(), problems=kept)


def test_a_report_is_printed(engine, sheet, capsys):
    engine(without_errors())
    assert entry.run(["forecast", sheet, "--width", "80"]) == 0
    out = capsys.readouterr().out
    assert "Alum from cans" in out
    assert "43.7 °C (41.3–46.1)" in out
    assert "crop 1, step 4" in out
    assert "DANGER, step 1" in out
    assert "Skin contact was not assessed." in out


def test_an_error_in_the_sheet_gives_exit_code_1(engine, sheet, capsys):
    assert entry.run(["forecast", sheet]) == 1
    assert "caustic potsh" in capsys.readouterr().out


def test_a_refused_sheet_gives_exit_code_3_and_no_numbers(engine, sheet, capsys):
    engine(replace(sample(), refused="firstcrop does not plan this."))
    assert entry.run(["forecast", sheet]) == 3
    out = capsys.readouterr().out
    assert "does not plan this" in out
    assert "°C" not in out


def test_json_is_one_document(engine, sheet, capsys):
    engine(without_errors())
    assert entry.run(["forecast", sheet, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["schema"] == "firstcrop.forecast"


@pytest.mark.parametrize(
    ("ending", "magic"), [("svg", b"<svg"), ("png", b"\x89PNG"), ("pdf", b"%PDF")]
)
def test_a_picture_is_written_whole(engine, sheet, tmp_path, ending, magic):
    engine(without_errors())
    target = tmp_path / f"run.{ending}"
    assert entry.run(["forecast", sheet, "--plot", str(target)]) == 0
    assert target.read_bytes().startswith(magic)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["alum.md", f"run.{ending}"]


def test_a_picture_of_another_kind_is_a_usage_mistake(engine, sheet, capsys):
    assert entry.run(["forecast", sheet, "--plot", "run.gif"]) == 2
    assert ".svg, .png or .pdf" in capsys.readouterr().err


def test_a_picture_that_cannot_be_written_is_said_so(engine, sheet, capsys):
    engine(without_errors())
    assert entry.run(["forecast", sheet, "--plot", "/nowhere/at/all/run.svg"]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_explain_shows_the_terms(engine, sheet, capsys, monkeypatch):
    engine(without_errors())
    assert entry.run(["explain", sheet, "8", "peak"]) == 0
    out = capsys.readouterr().out
    assert "heat of dissolving" in out
    assert "adds up to 43.70 °C" in out


def test_explain_on_a_line_without_numbers_says_where_they_are(engine, sheet, capsys):
    engine(without_errors())
    assert entry.run(["explain", sheet, "13"]) == 1
    assert "steps stand on lines 7, 8, 9, 10" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("content", "code", "words"),
    [
        (None, 2, "there is no file"),
        (b"\xff\xfe\x00broken", 1, "not UTF-8"),
        (b"# Title\n\nfine \xe9\n", 1, "line 3"),
        (b"# Title\x00\n", 1, "not a text file"),
        (os.urandom(10_000_000), 1, "larger than"),
    ],
)
@pytest.mark.parametrize("command", ["forecast", "check", "explain", "fill", "scale"])
def test_bad_files_are_problems(tmp_path, capsys, command, content, code, words):
    path = tmp_path / "bad.md"
    if content is not None:
        path.write_bytes(content)
    more = {"explain": ["3"], "scale": ["--to", "5 g"]}.get(command, [])
    assert entry.run([command, str(path), *more]) == code
    captured = capsys.readouterr()
    assert words in " ".join((captured.out + captured.err).split())
    assert "Traceback" not in captured.out + captured.err


def test_a_folder_is_no_sheet(tmp_path, capsys):
    assert entry.run(["forecast", str(tmp_path)]) == 2
    assert "is a folder" in " ".join(capsys.readouterr().out.split())


def test_a_missing_file_with_a_near_name_is_offered(sheet, capsys):
    assert entry.run(["forecast", sheet.replace("alum", "alumn")]) == 2
    assert "did you mean" in " ".join(capsys.readouterr().out.split())


def test_json_of_a_file_that_cannot_be_read_is_a_document_too(tmp_path, capsys):
    assert entry.run(["forecast", str(tmp_path / "no.md"), "--json"]) == 2
    document = json.loads(capsys.readouterr().out)
    assert document["problems"][0]["code"] == "file.missing"


def test_a_byte_order_mark_and_windows_lines_are_read(tmp_path):
    from firstcrop.cli.files import read_text

    path = tmp_path / "windows.md"
    path.write_bytes(b"\xef\xbb\xbf# Title\r\n\r\nMakes\r\n")
    assert read_text(str(path)) == "# Title\n\nMakes\n"


def test_an_existing_file_is_left_alone_without_force(tmp_path):
    from firstcrop.cli.files import write_whole

    path = tmp_path / "kept.md"
    path.write_text("mine", encoding="utf-8")
    problem = write_whole(str(path), b"theirs", force=False)
    assert problem is not None
    assert problem.code == "file.exists"
    assert path.read_text(encoding="utf-8") == "mine"
    assert write_whole(str(path), b"theirs", force=True) is None
    assert path.read_text(encoding="utf-8") == "theirs"


def test_a_failed_write_leaves_nothing_behind(tmp_path, monkeypatch):
    from firstcrop.cli import files

    def fail(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "replace", fail)
    problem = files.write_whole(str(tmp_path / "new.md"), b"text", force=False)
    assert problem is not None
    assert "No space left" in problem.message
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_every_line_fits_the_width(width):
    page = plain(report_page(report(sample()), width)).splitlines()
    table = [row for row in page if " of 400 mL " in row or row.lstrip().startswith("peak ")]
    carets = [row for row in page if " | " in row]
    narrow = [*table, *carets] if width < 80 else []
    assert [row for row in page if len(row) > width and row not in narrow] == []


def test_a_narrow_page_moves_the_gas_and_then_drops_the_band():
    wide, slim, bare = (plain(report_page(report(sample()), w)) for w in (80, 64, 50))
    assert "gas: 1.4 L H2" not in wide
    assert "43.7 °C (41.3–46.1)" in wide
    assert "gas: 1.4 L H2" in slim
    assert "43.7 °C (41.3–46.1)" in slim
    assert "43.7 °C" in bare
    assert "(41.3–46.1)" not in bare


def test_no_line_ends_in_blanks():
    page = plain(report_page(report(sample()), 80)).splitlines()
    assert [row for row in page if row != row.rstrip()] == []


def test_a_bug_is_one_line_and_not_the_writers_fault(sheet, monkeypatch, capsys):
    def fail(text, shelf=None, draws=0):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(asking, "forecast_text", fail)
    assert entry.run(["forecast", sheet]) == 70
    assert "a bug in it" in capsys.readouterr().err


def test_scale_wants_exactly_one_goal(sheet, capsys):
    assert entry.run(["scale", sheet]) == 2
    assert entry.run(["scale", sheet, "--to", "5 g", "--vessel", "1 L"]) == 2
    assert "one of --to, --have or --vessel" in capsys.readouterr().err


def test_every_command_has_help(capsys):
    for command in ("forecast", "check", "scale", "fill", "explain"):
        assert entry.run([command, "--help"]) == 0
        out = capsys.readouterr().out
        assert "SHEET" in out
        assert len(out.splitlines()) > 5


def test_the_exit_codes_are_in_the_help(capsys):
    assert entry.run(["--help"]) == 0
    assert "Exit codes: 0 fine" in capsys.readouterr().out


def call(*arguments, **more):
    return subprocess.run(
        [sys.executable, "-m", "firstcrop", *arguments],
        capture_output=True, text=True, encoding="utf-8", check=False, timeout=120, **more,
    )  # fmt: skip


def test_version_and_help_do_not_load_the_engine():
    script = (
        "import sys\nfrom firstcrop.cli import entry\nentry.run(['--version'])\n"
        "entry.run(['--help'])\n"
        "heavy = {'numba', 'scipy', 'numpy', 'rich', 'vl_convert', 'pint'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True,
                          check=False, timeout=60)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("firstcrop ")


def test_no_command_is_a_usage_mistake():
    assert call().returncode == 2
    assert call("forecst", "x.md").returncode == 2


def test_a_closed_pipe_is_quiet(tmp_path):
    done = subprocess.run(
        f"{sys.executable} -m firstcrop forecast {tmp_path}/no.md --json | head -c 1",
        shell=True, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.stderr == ""


def test_plain_pipes_carry_no_colour(tmp_path):
    done = call("forecast", str(tmp_path / "no.md"))
    assert "\x1b" not in done.stdout
    assert done.stderr == ""


def test_wrapping_hangs_after_its_lead():
    page = plain(wrapped("word " * 20, 40, 2, lead="✓ ")).splitlines()
    assert page[0].startswith("  ✓ word")
    assert all(row.startswith("    word") for row in page[1:])


def test_an_empty_sheet_is_a_forecast(engine, sheet, capsys):
    engine(Forecast(Preparation(title="")))
    assert entry.run(["forecast", sheet]) == 0
    capsys.readouterr()
