"""Rows come back from a file as they were written, whatever a file is called and wherever the file was cut off."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from moldvol.errors import UnsoundMesh
from moldvol.present.batch import MEASURE_COLUMNS, Stamp, cast_columns, row_of
from moldvol.present.row_forms import Csv, JsonLines, RowForm

FORMS = [Csv(MEASURE_COLUMNS), JsonLines()]
DOCUMENT: dict[str, Any] = {"file": "shown", "volume_mm3": 8000.0, "size_mm": (20, 20, math.nan), "warnings": []}
names = st.text(max_size=12) | st.sampled_from(
    ['"', '""', "\n", "\r\n", "a\nb", ",", "\u2028", "\udce9", "\x00", " a ", "'"]
)
rows = st.builds(
    lambda file, size, message: row_of(
        Stamp(file, size, None if size is None else "2025-03-01T14:30:00.000000+00:00", "abc"),
        DOCUMENT,
        None if message is None else UnsoundMesh(message or "It leaks.", code="open"),
    ),
    names,
    st.none() | st.integers(0, 2**60),
    st.none() | names,
)


@pytest.mark.parametrize("form", FORMS, ids=["csv", "json"])
class TestRoundTrip:
    @settings(database=None, deadline=None)
    @given(written=st.lists(rows, max_size=4))
    def test_every_row_comes_back(self, form: RowForm, written: list[dict[str, Any]]) -> None:
        text = form.heading + "".join(form.written(row) for row in written)
        text.encode("utf-8")
        told = list(form.read(text))
        assert "".join(one.text for one in told) == text.removeprefix(form.heading)
        for row, one in zip(written, told, strict=True):
            stamp = Stamp(row["file"], row["size_bytes"], row["modified_at"], row["job"])
            assert (one.stamp.key, one.stamp.size_bytes, one.stamp.modified_at, one.stamp.job) == (
                stamp.key, stamp.size_bytes, stamp.modified_at, stamp.job,
            )  # fmt: skip
            assert one.status == row["status"] and one.error_code == row.get("error", {}).get("code")

    @settings(database=None, deadline=None)
    @given(written=st.lists(rows, min_size=1, max_size=3), share=st.floats(0, 1))
    def test_cut_off_anywhere_only_whole_rows_come_back(
        self, form: RowForm, written: list[dict[str, Any]], share: float
    ) -> None:
        text = form.heading + "".join(form.written(row) for row in written)
        told = [one.text for one in form.read(text[: int(share * len(text))])]
        assert told == [form.written(row) for row in written][: len(told)]

    def test_what_is_not_ours(self, form: RowForm) -> None:
        for text in (
            "mine\n",
            "[]\n",
            "{}\n",
            '{"file": 1, "size_bytes": 1, "modified_at": 1, "job": 1, "status": 1}\n',
        ):
            with pytest.raises((ValueError, KeyError)):
                list(form.read(text))


def test_a_row_of_a_table_by_hand() -> None:
    stamp = Stamp("a,b.stl", 684, "2025-03-01T14:30:00.000000+00:00", "abc")
    document = {
        "file": "shown", "closed": True, "volume_mm3": 8000.123456789123, "size_mm": [20, 10.5, math.inf],
        "mix": {"components": [{"mass_g": 4.5}, {"mass_g": 4.05}]},
        "warnings": [{"code": "scale", "message": "Mind."}, {"code": "scale", "message": "Mind again."}],
    }  # fmt: skip
    form = Csv(cast_columns(["A", "B"]))
    line = form.written(row_of(stamp, document, None))
    assert line.startswith('"a,b.stl",warned,684,2025-03-01T14:30:00.000000+00:00,abc,scale,')
    assert ",20,10.5,,yes,8000.12346," in line and line.endswith(",4.5,4.05,,\n")
    assert line.count(",") == len(form.names)  # one of them within the quotes
