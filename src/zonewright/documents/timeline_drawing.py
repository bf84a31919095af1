"""A timeline as a picture in three lanes, house, panel and station, with its list beside it.

Rules of this file:
1. Everything is placed here, in millimetres of paper; no two labels overlap, and nothing leaves the frame.
2. Time runs by the second where something happens; long gaps are cut by two strokes through all lanes.
3. The list tells the same in words: at, where, what. The picture alone is no record.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from zonewright.documents.records import Drawing, Fact
from zonewright.site.record import span
from zonewright.words.tracks import Lane, Point, Span, Tracks

LEFT_MM, RIGHT_MM, WIDE_MM = 16.0, 4.0, 176.0
PER_SECOND_MM, LEAST_MM, CUT_S = 0.75, 8.0, 90
ROW_MM, SIZE_MM = 4.4, 3.2
LETTER_MM = 1.85  # with room: a viewer without the font takes a wider one, up to 1.8 a letter in DejaVu Sans
FAMILY = "Source Sans Pro, DejaVu Sans, Arial, Helvetica, sans-serif"
INK, SOFT, TINT = "#141414", "#555555", "#f7f7f7"


@dataclass(frozen=True, slots=True)
class _Axis:
    """Where each moment stands on paper, and between which moments the axis is cut."""

    at: dict[int, float]
    cuts: tuple[float, ...]
    wide: float


def timeline_drawing(tracks: Tracks, title: str) -> Drawing:
    """Return the picture of a timeline with its list."""
    axis = _axis(tracks)
    ground: list[str] = []
    parts: list[str] = []
    y = 2.0
    for lane in Lane:
        points = [point for point in tracks.points if point.lane is lane]
        spans = tracks.spans if lane is Lane.PANEL else ()
        rows = _rows([_bar_label(each, axis)[2:] for each in spans])
        low = y + (max(rows, default=-1) + 1) * ROW_MM
        marks = _rows([_label_box(each, axis) for each in points])
        high = low + (max(marks, default=-1) + 1) * ROW_MM + 2.6
        if lane is Lane.PANEL:
            ground.append(
                f'<rect x="0" y="{y - 0.6:.1f}" width="{axis.wide:.1f}" height="{high - y + 1.2:.1f}" fill="{TINT}"/>'
            )
        parts.append(f'<text x="1" y="{y + 3.2:.1f}" font-size="3.2" font-weight="600">{lane.value}</text>')
        for each, row in zip(spans, rows, strict=True):
            parts += _bar(each, axis, y + row * ROW_MM)
        for point, row in zip(points, marks, strict=True):
            parts += _mark(point, axis, low + row * ROW_MM, high - 0.4)
        y = high + 2.4
    parts += _ticks(tracks, axis, y)
    parts.sort(key=lambda part: part.startswith("<text"))  # words lie on top, each with a white edge
    high = y + 5
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{axis.wide:.1f}mm" height="{high:.1f}mm" '
        f'viewBox="0 0 {axis.wide:.1f} {high:.1f}" '
        f'font-family="{FAMILY}" fill="{INK}">{"".join([*ground, *_cuts(axis, y), *parts])}</svg>'
    )
    told = tuple(Fact(f"{span(at)} {lane}", text) for at, lane, text in listing(tracks))
    wide = min(round(axis.wide), round(WIDE_MM))
    return Drawing(title, "", svg, wide, f"{title}; told in words beside it", told)


def listing(tracks: Tracks) -> list[tuple[int, str, str]]:
    """Return what the picture shows as rows: when [s], where, what."""
    rows = [(point.at, point.lane.value, point.text) for point in tracks.points]
    for each in tracks.spans:
        until = f", until {span(each.until)}" if each.until is not None else ", and still at the end"
        rows.append((each.start, Lane.PANEL.value, each.text + until))
    order = {lane.value: place for place, lane in enumerate(Lane)}
    return sorted(rows, key=lambda row: (row[0], order[row[1]]))


def _axis(tracks: Tracks) -> _Axis:
    moments = sorted({0, *(p.at for p in tracks.points), *(s.start for s in tracks.spans),
                      *(s.until for s in tracks.spans if s.until is not None)})  # fmt: skip
    at: dict[int, float] = {moments[0]: LEFT_MM}
    cuts: list[float] = []
    for before, now in pairwise(moments):
        gap = now - before
        room = 14.0 if gap > CUT_S else max(LEAST_MM, gap * PER_SECOND_MM)
        at[now] = at[before] + room
        if gap > CUT_S:
            cuts.append(at[now] - 4.0)
    wide = max(at[moments[-1]] + RIGHT_MM + 30.0, 110.0)
    for point in tracks.points:
        if at[point.at] - _width(point.text) < LEFT_MM:  # it has no room to the left
            wide = max(wide, at[point.at] + _width(point.text) + 2)
    return _Axis(at, tuple(cuts), wide)


def _width(text: str) -> float:
    return len(text) * LETTER_MM + 1.0


def _label_box(point: Point, axis: _Axis) -> tuple[float, float]:
    """Return where a label begins and ends: to the right of its mark, to the left where the frame ends."""
    x, wide = axis.at[point.at], _width(point.text)
    return (x - 1.4, x + wide) if x + wide < axis.wide - 1 else (x - wide, x + 1.4)


def _bar_label(each: Span, axis: _Axis) -> tuple[float, str, float, float]:
    """Return where a bar's label stands (x, anchor), and from where to where bar and label reach."""
    start = axis.at[each.start]
    end = axis.at[each.until] if each.until is not None else axis.wide - RIGHT_MM
    wide = _width(each.text)
    if wide + 1 < end - start:
        return start + 1, "start", start, end
    if end + wide + 1 < axis.wide:
        return end + 1, "start", start, end + wide + 1
    return start - 1, "end", start - wide - 1, end


def _rows(boxes: Sequence[tuple[float, float]]) -> list[int]:
    """Return the first row in which each box is free, in the order given."""
    taken: list[list[tuple[float, float]]] = []
    rows = []
    for start, end in boxes:
        row = next(
            (n for n, each in enumerate(taken) if all(end + 0.8 < a or b + 0.8 < start for a, b in each)), len(taken)
        )
        if row == len(taken):
            taken.append([])
        taken[row].append((start, end))
        rows.append(row)
    return rows


def _bar(each: Span, axis: _Axis, y: float) -> Iterator[str]:
    start = axis.at[each.start]
    end = axis.at[each.until] if each.until is not None else axis.wide - RIGHT_MM
    fill, pen = ("#cdcdcd", 0.5) if each.loud else ("none", 0.3)
    yield (
        f'<rect x="{start:.2f}" y="{y:.2f}" width="{max(end - start, 0.8):.2f}" height="3.8" fill="{fill}" '
        f'stroke="{INK}" stroke-width="{pen}"/>'
    )
    x, anchor, _, _ = _bar_label(each, axis)
    yield _text(x, y + 2.9, anchor, each.text)


def _mark(point: Point, axis: _Axis, y: float, foot: float) -> Iterator[str]:
    x = axis.at[point.at]
    left, _ = _label_box(point, axis)
    anchor = "start" if left >= x - 1.4 else "end"
    yield f'<path d="M{x:.2f} {y + 3:.2f}V{foot:.2f}" stroke="{INK}" stroke-width="0.2" fill="none"/>'
    yield f'<path d="M{x - 1:.2f} {foot - 1.7:.2f}h2l-1 1.7z"/>'
    yield _text(x + (1 if anchor == "start" else -1), y + 2.9, anchor, point.text)


def _text(x: float, y: float, anchor: str, text: str) -> str:
    put = f'x="{x:.2f}" y="{y:.2f}" font-size="{SIZE_MM}" text-anchor="{anchor}"'
    clean = escape(text)
    return f'<text {put} stroke="white" stroke-width="0.9">{clean}</text><text {put}>{clean}</text>'


def _cuts(axis: _Axis, foot: float) -> Iterator[str]:
    for x in axis.cuts:
        for shift in (0.0, 1.3):
            yield (
                f'<path d="M{x + shift - 0.7:.2f} {foot:.2f}L{x + shift + 0.7:.2f} 1" stroke="{SOFT}" '
                f'stroke-width="0.25" fill="none"/>'
            )


def _ticks(tracks: Tracks, axis: _Axis, y: float) -> Iterator[str]:
    """Yield the times below the lanes where they have room; the list has them all."""
    end = 0.0  # of the last one
    shown = {point.at for point in tracks.points} | {each.start for each in tracks.spans}
    for at, x in axis.at.items():
        words = span(at)
        half = _width(words) / 2
        if at in shown and x - half > end:
            end = x + half
            yield f'<path d="M{x:.2f} {y - 1.6:.2f}v1.4" stroke="{INK}" stroke-width="0.3" fill="none"/>'
            yield f'<text x="{x:.2f}" y="{y + 3:.2f}" font-size="3" text-anchor="middle" fill="{SOFT}">{words}</text>'
