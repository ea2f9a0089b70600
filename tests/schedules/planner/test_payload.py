import json

from schedules.planner import plan_payload
from tests.schedules.planner.climates import planned, request


def test_the_payload_is_plain_json():
    payload = plan_payload(planned(request("carrot-maincrop")))
    assert json.loads(json.dumps(payload)) == payload


def test_the_payload_has_the_promised_shape():
    payload = plan_payload(planned())
    assert set(payload) == {"sowing", "emergence", "jobs", "outlook", "warnings"}
    assert set(payload["sowing"]) == {"crop", "sow"}
    assert set(payload["sowing"]["sow"]) == set(payload["emergence"]) == {"from", "best", "by"}
    assert {"key", "kind", "from", "best", "by", "reason", "state", "cautions"} <= set(payload["jobs"][0])
    assert set(payload["jobs"][0]["reason"]) == {"rule", "values", "source", "text"}


def test_a_plan_without_a_day_has_null_windows():
    payload = plan_payload(planned(mean_c=-12.0))
    assert (payload["sowing"]["sow"], payload["emergence"], payload["jobs"]) == (None, None, [])
    assert payload["warnings"][0]["rule"] == "no_day_is_fit"


def test_sets_have_no_emergence():
    assert plan_payload(planned(request("onion-sets")))["emergence"] is None
