"""From readings to the inputs of a measurement.

A `Term` computes one quantity from the inputs: an array over the replicates (or of one). Glass
and solutions expand: volumes are brought to 20 °C, at which glassware is true (ISO 4787), dilute
solutions taken to expand as water does (Kell 1975); one temperature serves all volumes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.practice import load_practice
from firstcrop.chem.formula import parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.laws.water_density_kell_1975 import water_density
from firstcrop.liquor.system import Floats
from firstcrop.problems import Problem, Severity
from firstcrop.shelf.assay_readings import Reading, Readings
from firstcrop.shelf.gum import Input, Shape, factor, limits

AT_20 = 293.15  # K, reference temperature of glassware
Point = Mapping[str, float]
Term = Callable[[Point], Floats]
_UNITS = MappingProxyType(
    {
        "mass": "kg",
        "volume": "m3",
        "temperature": "K",
        "density": "kg/m3",
        "strength": "mol/m3",
        "molar mass": "kg/mol",
        "molar energy": "J/mol",
    }
)


class Book:
    """Collects the inputs and problems of one assay while its terms are put together."""

    def __init__(self, readings: Readings, bank: Bank) -> None:
        self.readings = readings
        self.bank = bank
        self.inputs: list[Input] = []
        self.problems: list[Problem] = []
        self.sources: dict[str, None] = {}

    def has(self, name: str) -> bool:
        """Whether there is such a row."""
        return name in self.readings.rows

    def need(self, name: str, why: str = "") -> Reading | None:
        """The row, or None with a Problem that it is missing."""
        row = self.readings.rows.get(name)
        if row is None and not any(p.message.startswith(f"'{name}'") for p in self.problems):
            self.fail("missing", f"'{name}' is missing.", hint=why or f"Add a row '{name}'.")
        return row

    def fail(self, code: str, message: str, row: Reading | None = None, hint: str = "") -> None:
        """Note an error: there will be no result."""
        places = (row.place,) if row else ()
        self.problems.append(Problem(f"assay.{code}", message, places, hint))

    def warn(self, code: str, message: str, row: Reading | None = None, hint: str = "") -> None:
        """Note a doubt: the result stands."""
        places = (row.place,) if row else ()
        self.problems.append(Problem(f"assay.{code}", message, places, hint, Severity.WARNING))

    def add(self, item: Input) -> None:
        """Take an input once; the same name again is the same influence."""
        if all(known.name != item.name for known in self.inputs):
            self.inputs.append(item)
        if item.source:
            self.sources.setdefault(item.source)

    def constant(self, name: str, value: float, u: float, unit: str, source: str = "",
                 shape: Shape = Shape.NORMAL, label: str = "") -> Term:  # fmt: skip
        """A term of one input that stands for itself."""
        self.add(Input(name, value, u, unit, shape, label=label, source=source, of=name))
        return lambda x: np.array([x[name]])

    def term(self, row: Reading, filled: bool = False, once: bool = False) -> Term:
        """A row with the error of what it was measured with, one for all its replicates.

        `filled`: filling to a mark is done once, so that its scatter does not show in replicates.
        `once`: a single weighing, whose difference to another is taken by the caller.
        """
        values = np.array(row.numbers)
        error = f"{row.name}: {row.means.piece.kind if row.means.piece else 'calibration'}"
        self._error(row, error, once)
        scatter = f"{row.name}: filling"
        spread = self._filling(row) if filled else row.means.repeatability
        if spread:
            self.add(
                Input(scatter, 0.0, spread, _unit(row), label="filling to the mark", of=row.name)
            )
            return lambda x: np.asarray(values + x[error] + x[scatter])
        return lambda x: np.asarray(values + x[error])

    def volume(self, row: Reading, filled: bool = False) -> Term:
        """m3 at 20 °C."""
        self._check_ware(row)
        read = self.term(row, filled)
        warm = self.expansion()
        return lambda x: np.asarray(read(x) * warm(x))

    def rounded(self, row: Reading) -> Term:
        """m3 at 20 °C of a blank from the burette of the titre, whose error is counted there:
        only the rounding of its two readings is its own (GUM F.2.2.1)."""
        values, name = np.array(row.numbers), f"{row.name}: reading"
        u = max(v.digit for v in row.values) / math.sqrt(6.0)
        self.add(Input(name, 0.0, u, "m3", Shape.TRIANGULAR, label="two rounded readings",
                       of=row.name, shown=row.text))  # fmt: skip
        warm = self.expansion()
        return lambda x: np.asarray((values + x[name]) * warm(x))

    def expansion(self) -> Callable[[Point], float]:
        """What a volume at the temperature of the room is at 20 °C: glass grows, liquor shrinks."""
        self.temperature()
        glass = load_practice("assay_practice")["glass_expansion"].value

        def grown(x: Point) -> float:
            t = x["temperature"]
            water = float(water_density(t) / water_density(AT_20))
            return (1.0 + glass * (t - AT_20)) * water

        return grown

    def temperature(self) -> None:
        """The input `temperature`, K; without a row, that of a room, 20 ± 5 °C."""
        row = self.readings.rows.get("temperature")
        if row is None:
            room = load_practice("assay_practice")["room"]
            half = 0.5 * (room.high - room.low)
            label = "no temperature was read: a room, 20 ± 5 °C"
            source = room.datum.source
            item = Input("temperature", room.value, limits(half), "K", Shape.RECTANGULAR,
                         label=label, source=source, of="temperature")  # fmt: skip
            self.add(item)
            return
        u, shape, label, source = self._spread(row)
        value = row.numbers[0]
        if not 273.15 <= value <= 373.15:
            self.fail("temperature", f"Nothing is titrated at {row.text}.", row)
            value = AT_20
        self.add(Input("temperature", value, u, "K", shape, label=label, source=source,
                       of="temperature"))  # fmt: skip

    def molar_mass(self, name: str, formula: str, row_name: str) -> Term:
        """kg/mol of a formula from the standard atomic weights, or as its row says."""
        row = self.readings.rows.get(row_name)
        if row is not None:
            u, shape, label, source = self._spread(row)
            return self.constant(name, row.numbers[0], u, "kg/mol", source, shape, label)
        read = parse_formula(formula)
        found = molar_mass(read, self.bank.weights) if not isinstance(read, Problem) else read
        if isinstance(found, Problem):
            self.problems.append(found)
            return lambda x: np.array([math.nan])
        return self.constant(
            name, found[0], found[1], "kg/mol", "prohaska2022", label=f"molar mass of {formula}"
        )

    def fraction(self, name: str, assumed: str) -> Term:
        """A purity; without a row, one is taken with a warning that says `assumed`."""
        row = self.readings.rows.get(name)
        if row is None:
            self.warn("purity", f"'{name}' is not given; {assumed}", hint="See its certificate.")
            return self.constant(name, 0.9975, limits(0.0025), "1", "common-practice",
                                 Shape.RECTANGULAR, "99.5 to 100 %: reagent grade")  # fmt: skip
        if row.numbers[0] > 1.001:
            self.fail("impossible", f"'{name}' is above 100 %.", row)
        u, shape, label, source = self._spread(row)
        return self.constant(name, row.numbers[0], u, "1", source, shape, label)

    def same_count(self, *rows: Reading | None) -> int:
        """Number of replicates that rows of several values share; 0 with a Problem when not."""
        counts = {len(r.values) for r in rows if r is not None and len(r.values) > 1}
        if len(counts) > 1:
            names = ", ".join(f"'{r.name}' has {len(r.values)}" for r in rows if r)
            hint = "Give one value for all replicates, or one for each."
            self.fail("counts", f"Replicates do not match: {names}.", rows[0], hint)
            return 0
        return counts.pop() if counts else 1

    def _error(self, row: Reading, name: str, once: bool) -> None:
        u, shape, label, source = self._spread(row, once)
        self.add(Input(name, 0.0, u, _unit(row), shape, label=label, source=source, of=row.name,
                       shown=row.text))  # fmt: skip

    def _spread(self, row: Reading, once: bool = False) -> tuple[float, Shape, str, str]:
        """Standard uncertainty of a row apart from its scatter: u, shape, what it is, source."""
        means = row.means
        twice = math.sqrt(2.0) if self._weighed_twice(row) and not once else 1.0
        tail = ", twice: a difference of two weighings" if twice > 1.0 else ""
        if means.u:
            return means.u * twice, Shape.NORMAL, f"stated{tail}", ""
        if means.limits:
            u = limits(means.limits, means.shape) * twice
            return u, means.shape, f"stated limits of error{tail}", ""
        if means.piece:
            piece = means.piece
            told = f"{means.text.split(';')[0].strip()}{tail}"
            return piece.u * twice, piece.shape, told, piece.source
        if row.values[0].band:
            u = row.values[0].band / factor(0.9, math.inf)
            return u, Shape.NORMAL, "written ±, a 90 % half-width", ""
        digit = row.values[0].digit
        message = (
            f"'{row.name}' does not say how far it may be off; half its last digit is taken, "
            "which is the least it can be."
        )
        hint = "Name the ware in the third column, such as pipette 10 mL B, or write a ±."
        self.warn("unstated", message, row, hint)
        return limits(0.5 * digit), Shape.RECTANGULAR, "half the last digit", ""

    def _weighed_twice(self, row: Reading) -> bool:
        piece = row.means.piece
        return row.means.difference or (piece is not None and piece.kind == "balance")

    def _filling(self, row: Reading) -> float:
        piece = row.means.piece
        if row.means.repeatability or piece is None or not piece.one_mark:
            return row.means.repeatability
        filling = load_practice("assay_practice")["filling"]
        self.sources.setdefault(filling.datum.source)
        return filling.value * piece.tolerance

    def _check_ware(self, row: Reading) -> None:
        piece = row.means.piece
        if piece is None:
            return
        if piece.kind not in ("burette", "pipette", "flask", "cylinder", "piston pipette"):
            self.fail("ware", f"A {piece.kind} measures no volume.", row)
        elif piece.one_mark and any(abs(v / piece.nominal - 1.0) > 0.005 for v in row.numbers):
            message = f"A {piece.kind} of {piece.nominal * 1e6:g} mL does not measure {row.text}."
            self.fail("ware", message, row, "Name the ware that was used.")
        elif any(v > piece.nominal * 1.000001 for v in row.numbers):
            what = "titre" if piece.kind == "burette" else "volume"
            message = (
                f"'{row.name}' is beyond the {piece.kind}: a {what} of {row.text} from "
                f"{piece.nominal * 1e6:g} mL."
            )
            hint = "Was it refilled? Then take a smaller portion: two fillings double the error."
            self.fail("beyond", message, row, hint)


def _unit(row: Reading) -> str:
    """The SI unit of a row's values."""
    kind = row.values[0].unit.kind if row.kind == "mass; volume" else row.kind
    return _UNITS.get(kind, "1")
