"""The JSON Schemas of the files that people type, for editors, and of the results that verbs print with `--json`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from zonewright.desk.results.changes import Changes
from zonewright.desk.results.diagnoses import DiagnosisResult
from zonewright.desk.results.findings import Findings, Rules
from zonewright.desk.results.keyed import GuidePage, SheetResult
from zonewright.desk.results.matrices import ExplanationResult, MatrixResult
from zonewright.desk.results.messages import LineResult, Messages
from zonewright.desk.results.profiles import ProfileFacts
from zonewright.desk.results.proofs import ExplainedPromise, Promises, Verdicts
from zonewright.desk.results.result import Result
from zonewright.desk.results.runs import RunResult, ScenarioForms, ScenesResult
from zonewright.desk.results.test_plan import TestPlanResult
from zonewright.panel.behaviours import Behaviour
from zonewright.panel.profile import Profile
from zonewright.site.plan import Plan
from zonewright.site.record import Record
from zonewright.site.schema import DIALECT, schema_of, site_schema

FILES: Mapping[str, type[Record]] = {"plan": Plan, "profile": Profile}  # beside the site file
RESULTS: Mapping[str, type[Result]] = {
    str(each.model_fields["kind"].default): each
    for each in (
        Changes, DiagnosisResult, ExplanationResult, ExplainedPromise, Findings, GuidePage, LineResult, MatrixResult,
        Messages, ProfileFacts, Promises, Rules, RunResult, ScenarioForms, ScenesResult, SheetResult, TestPlanResult,
        Verdicts,
    )
}  # fmt: skip
KINDS = ("site", *FILES, *RESULTS)


def schema_for(kind: str) -> dict[str, object]:
    """Return the JSON Schema (Draft 2020-12) of a file or a result, one of `KINDS`; raises `KeyError` for another."""
    if kind == "site":
        return site_schema()
    if kind not in FILES:
        return {"$schema": DIALECT, **RESULTS[kind].model_json_schema(mode="serialization")}
    schema = schema_of(FILES[kind])
    if kind == "profile":  # a shipped behaviour is taken as it is, or with few fields changed
        cast("dict[str, dict[str, object]]", schema["$defs"])[Behaviour.__name__].pop("required")
    return {"$schema": DIALECT, "title": f"Zonewright {kind} file", **schema}
