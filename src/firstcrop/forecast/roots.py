"""One root of a monotone function, by bracketing and Illinois steps."""

from __future__ import annotations

from collections.abc import Callable


def bracketed(
    f: Callable[[float], float],
    low: float,
    high: float,
    tolerance: float,
    at_low: float | None = None,
    at_high: float | None = None,
    most: int = 40,
    close: float = 0.0,
) -> float | None:
    """x in [low, high] with f(x) = 0 to within `tolerance` in x or `close` in f; None when f
    has one sign."""
    fl = f(low) if at_low is None else at_low
    fh = f(high) if at_high is None else at_high
    if fl == 0.0:
        return low
    if fh == 0.0:
        return high
    if (fl > 0.0) == (fh > 0.0):
        return None
    side = 0
    x = low
    for turn in range(most):
        x = 0.5 * (low + high) if turn % 3 == 2 else (low * fh - high * fl) / (fh - fl)
        fx = f(x)
        if abs(fx) <= close or high - low < tolerance:
            return x
        if (fx > 0.0) == (fh > 0.0):
            high, fh = x, fx
            fl = fl * 0.5 if side == 1 else fl
            side = 1
        else:
            low, fl = x, fx
            fh = fh * 0.5 if side == -1 else fh
            side = -1
    return x


def grown(
    f: Callable[[float], float], first: float, most: float
) -> tuple[float, float, float, float] | None:
    """Double x from `first` until f changes sign: (low, high, f(low), f(high)); f is first taken
    at 0. None when it never does up to `most`."""
    low, fl = 0.0, f(0.0)
    x = first
    while x <= most:
        fx = f(x)
        if (fx > 0.0) != (fl > 0.0):
            return low, x, fl, fx
        low, fl = x, fx
        x *= 2.0
    return None


def first_root(f: Callable[[float], float], first: float, most: float, part: float) -> float | None:
    """The first x > 0 with f(x) = 0, looked for from `first` up to `most`, to within `part` of
    itself; None when f keeps its sign."""
    span = grown(f, first, most)
    if span is None:
        return None
    low, high, at_low, at_high = span
    return bracketed(f, low, high, part * high, at_low, at_high)
