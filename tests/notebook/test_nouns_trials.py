"""Lots, trials, predictions, results, decisions, comments and files, on both databases."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest

from tests.notebook.entries import WHO, enter_cream, enter_project, enter_trial
from zincite.errors import ConflictError, InputError, NotebookError
from zincite.notebook.attachments import add_attachment, attached, get_attachment, list_attachments
from zincite.notebook.comments import add_comment, get_comment, list_comments
from zincite.notebook.decisions import VERDICTS, add_decision, get_decision, list_decisions
from zincite.notebook.locating import locate
from zincite.notebook.lots import CertificateValue, LotRecord, add_lot, get_lot, list_lots
from zincite.notebook.predictions import add_prediction, get_prediction, list_predictions
from zincite.notebook.quantities import MeasuredValue, PredictedValue
from zincite.notebook.results import RawFile, add_result, get_result, list_results, raw_file
from zincite.notebook.store import Notebook
from zincite.notebook.trial_parts import TrialDeviation, TrialWeight, expired_lots
from zincite.notebook.trials import add_trial, get_trial, list_trials
from zincite.notebook.verifying import verify
from zincite.notebook.withdrawing import withdraw

VISCOSITY = MeasuredValue("viscosity_mPas", 12000.0, unit="mPa s")


@pytest.fixture
def lab(notebook: Notebook) -> Notebook:
    """Return a notebook with project FLUID and formula K-07@1."""
    enter_project(notebook)
    enter_cream(notebook)
    return notebook


def lot(notebook: Notebook, code: str, material: str = "coco-caprylate", **more: Any) -> LotRecord:
    with notebook.write(WHO) as writer:
        return get_lot(writer.connection, add_lot(writer, code, material, **more))


def trial(notebook: Notebook, **given: Any) -> str:
    about = {"made_on": "2026-03-02", "made_by": "B. Example", **given}
    with notebook.write(WHO) as writer:
        return get_trial(writer.connection, add_trial(writer, "K-07@1", **about)).code


def result(notebook: Notebook, **given: Any) -> str:
    about = {"values": [VISCOSITY], "measured_on": "2026-03-03", **given}
    with notebook.write(WHO) as writer:
        id = add_result(writer, "T-001", about.pop("kind", "viscosity"), **about)
        return get_result(writer.connection, id).called


def test_a_lot_keeps_its_certificate(notebook: Notebook) -> None:
    values = (
        CertificateValue("loss on drying", 0.3, "%"),
        CertificateValue("look", None, "", "conforms"),
    )
    made = lot(
        notebook, "L-1", supplier="Invented", received_on="2026-01-05", expires_on="2026-12-31",
        note="sample", values=values,
    )  # fmt: skip
    assert made.values == values
    assert (made.supplier, made.received_on, made.note) == ("Invented", "2026-01-05", "sample")
    with pytest.raises(NotebookError, match=r"lot L-1 is there already \(of coco-caprylate\)"):
        lot(notebook, "L-1", "glycerin")


_A_LOT_THAT_CANNOT_BE_IS_REFUSED: tuple[tuple[Any, str], ...] = (
    ({"material": "no-such"}, "lot L-1: no material is called 'no-such'"),
    ({"expires_on": "31.12.2026"}, "expires is '31.12.2026', expected a date such as"),
    ({"values": [CertificateValue("look")]}, "look has no value, expected a number or a word"),
    ({"values": [CertificateValue("look", float("nan"))]}, "look is nan, expected a number"),
    ({"values": [CertificateValue(" ", 1.0)]}, "a quantity is empty"),
)


def test_a_lot_that_cannot_be_is_refused(notebook: Notebook) -> None:
    for given, said in _A_LOT_THAT_CANNOT_BE_IS_REFUSED:
        with pytest.raises(InputError, match=said):
            lot(notebook, "L-1", **given)
    assert notebook.head() == (0, "")


def test_the_last_day_of_a_lot_is_a_good_one(notebook: Notebook) -> None:
    made = lot(notebook, "L-1", expires_on="2026-06-30")
    lot(notebook, "L-2", "glycerin")
    assert not made.expired_on("2026-06-30")
    assert made.expired_on("2026-07-01")
    with notebook.read() as connection:
        assert list_lots(connection, expired_on="2026-06-30") == ()
        assert list_lots(connection, expired_on="2026-07-01") == (made,)
        assert [found.code for found in list_lots(connection)] == ["L-1", "L-2"]
        assert [found.code for found in list_lots(connection, "glycerin")] == ["L-2"]


def test_a_trial_keeps_what_went_into_it(lab: Notebook) -> None:
    lot(lab, "L-1", expires_on="2026-02-01")
    weights = (
        TrialWeight("A", "coco-caprylate", "L-1", 200.0, 200.4),
        TrialWeight("B", "water", "", 443.0, None),
        TrialWeight("B", "citric-acid", "", None, 0.5),
    )
    deviations = (TrialDeviation("late", "accepted"), TrialDeviation("lumps"))
    code = trial(
        lab, batch_kg=1.0, process="1 rotor-stator", note="n", weights=weights,
        deviations=deviations,
    )  # fmt: skip
    with lab.read() as connection:
        made = get_trial(connection, code)
        assert [found.code for found in expired_lots(connection, made.weights, made.made_on)] == [
            "L-1"
        ]
        assert expired_lots(connection, made.weights, "2026-02-01") == ()
    assert (made.code, made.formula, made.batch_kg) == ("T-001", "K-07@1", 1.0)
    assert (made.weights, made.deviations) == (weights, deviations)
    assert verify(lab).holds


def test_trials_are_numbered_after_the_highest(lab: Notebook) -> None:
    assert [enter_trial(lab), enter_trial(lab, code="T-99"), enter_trial(lab)] == [
        "T-001", "T-99", "T-100",
    ]  # fmt: skip
    enter_trial(lab, code="T-999")
    enter_trial(lab, code="T-made by hand, in words")
    assert enter_trial(lab) == "T-1000"
    assert enter_trial(lab) == "T-1001"
    with pytest.raises(NotebookError, match="trial T-99 is there already, expected a new code"):
        enter_trial(lab, code="T-99")


_A_TRIAL_THAT_CANNOT_BE_IS_REFUSED: tuple[tuple[Any, str], ...] = (
    ({"made_on": "yesterday"}, "trial T-001: made on is 'yesterday', expected a date"),
    ({"made_by": " "}, "trial T-001: made by is empty, expected a name"),
    ({"batch_kg": 0.0}, "the batch has 0 kg, expected more than 0 kg"),
    ({"batch_kg": float("inf")}, "the batch in kg is inf, expected a number"),
    ({"weights": [TrialWeight("A", "no-such")]}, "no material is called 'no-such'"),
    ({"weights": [TrialWeight("A", "water", "L-9")]}, "no lot is called 'L-9'"),
    ({"weights": [TrialWeight("A", "water", "L-1")]}, "lot L-1 is of coco-caprylate"),
    ({"weights": [TrialWeight("A", "coco-caprylate", "L-2")]}, "lot L-2 is withdrawn"),
    ({"weights": [TrialWeight("A", "water", "", -1.0)]}, "target of water is -1 g"),
    ({"deviations": [TrialDeviation(" ")]}, "a deviation is empty, expected what happened"),
)


def test_a_trial_that_cannot_be_is_refused(lab: Notebook) -> None:
    lot(lab, "L-1")
    lot(lab, "L-2")
    with lab.write(WHO) as writer:
        withdraw(writer, "lot", "L-2", "recalled")
    before = lab.head()
    for given, said in _A_TRIAL_THAT_CANNOT_BE_IS_REFUSED:
        with pytest.raises(InputError, match=said):
            trial(lab, **given)
    assert lab.head() == before


def test_trials_are_listed_by_day_and_by_formula(lab: Notebook) -> None:
    enter_cream(lab, 28, "less white")
    trial(lab, made_on="2026-03-02")
    trial(lab, made_on="2026-03-05")
    with lab.write(WHO) as writer:
        add_trial(writer, "K-07@2", made_on="2026-03-04", made_by="B")
    with lab.read() as connection:
        assert [t.code for t in list_trials(connection)] == ["T-002", "T-003", "T-001"]
        assert [t.code for t in list_trials(connection, at_most=1)] == ["T-002"]
        assert [t.code for t in list_trials(connection, formula="K-07@1")] == ["T-002", "T-001"]
        assert len(list_trials(connection, formula="K-07")) == 3


def test_a_prediction_keeps_every_figure_with_its_unit(lab: Notebook) -> None:
    said = {
        "spf": {"median": 30.0, "low": 20.0, "high": 45.0},
        "critical_wavelength_nm": {"median": 378.0, "low": 377.0, "high": 379.0},
        "white_cast": {"dark": {"delta_e00": {"median": 5.0, "low": 4.0, "high": 6.0}}},
        "cost_per_kg": {"value": 9.5},
        "viscosity_mPas": {"median": None, "low": None, "high": None},
        "currency": "EUR",
        "model": "shipped model",
        "warnings": [],
    }
    with lab.write(WHO) as writer:
        add_prediction(writer, "K-07", said, "2026-03-01")
        add_prediction(writer, "K-07@1", said, "2026-03-02", software="zincite 9")
        with pytest.raises(InputError, match="prediction's model is empty"):
            add_prediction(writer, "K-07@1", {"spf": {"value": 1.0}}, "2026-03-02")
    with lab.read() as connection:
        found = get_prediction(connection, "K-07@1/1")
        assert get_prediction(connection, "K-07@1").called == "K-07@1/2"
        assert [p.software for p in list_predictions(connection, "K-07@1")][1] == "zincite 9"
    assert found.values == (
        PredictedValue("spf", 30.0, 20.0, 45.0, ""),
        PredictedValue("critical_wavelength_nm", 378.0, 377.0, 379.0, "nm"),
        PredictedValue("delta_e00 dark", 5.0, 4.0, 6.0, ""),
        PredictedValue("cost_per_kg", 9.5, None, None, "EUR/kg"),
    )
    assert found.of("spf") == found.values[0]
    assert found.of("uva_pf") is None


def test_a_raw_file_comes_back_byte_for_byte(lab: Notebook) -> None:
    enter_trial(lab)
    data = bytes(range(256)) * 3
    called = result(lab, raw=RawFile("raw.bin", data), method="own method")
    with lab.read() as connection:
        found = get_result(connection, called)
        assert raw_file(connection, found) == RawFile("raw.bin", data)
    assert found.sha256 == hashlib.sha256(data).hexdigest()
    assert (found.called, found.values, found.valid) == ("T-001/1", (VISCOSITY,), True)
    assert found.method == "own method"
    assert verify(lab).holds


def test_an_evaluation_says_method_validity_and_figures(lab: Notebook) -> None:
    enter_trial(lab)
    said = {"mean_spf": 31.0, "ci95_low": 28.0, "ci95_high": 34.0, "valid": False,
            "method": "ISO 24444", "sd": 3.5}  # fmt: skip
    called = result(lab, kind="spf", values=None, evaluation=said)
    with lab.read() as connection:
        found = get_result(connection, called)
    assert (found.method, found.valid) == ("ISO 24444", False)
    assert found.values == (MeasuredValue("spf", 31.0, 28.0, 34.0, ""),)
    assert found.to_dict()["evaluation"] == said


_A_RESULT_THAT_CANNOT_BE_IS_REFUSED: tuple[tuple[Any, str], ...] = (
    ({"values": []}, "has neither a value nor a file"),
    ({"measured_on": "3 March"}, "measured on is '3 March', expected a date"),
    ({"values": [MeasuredValue("x", float("inf"))]}, "x is inf, expected a number"),
    ({"values": [MeasuredValue("", 1.0)]}, "a quantity is empty"),
    ({"kind": "spfx", "values": None, "evaluation": {"a": 1}}, "kind of result is 'spfx'"),
    ({"evaluation": {"a": float("nan")}}, "not finite"),
)


def test_a_result_that_cannot_be_is_refused(lab: Notebook) -> None:
    enter_trial(lab)
    before = lab.head()
    for given, said in _A_RESULT_THAT_CANNOT_BE_IS_REFUSED:
        with pytest.raises(InputError, match=said):
            result(lab, **given)
    assert lab.head() == before


def test_results_are_listed_by_trial_kind_and_day(lab: Notebook) -> None:
    enter_trial(lab)
    result(lab, measured_on="2026-03-05")
    result(lab, measured_on="2026-03-04", kind="ph", values=[MeasuredValue("ph", 6.4)])
    with lab.read() as connection:
        assert [r.called for r in list_results(connection, trial="T-001")] == ["T-001/1", "T-001/2"]
        assert [r.called for r in list_results(connection)] == ["T-001/1", "T-001/2"]
        assert [r.called for r in list_results(connection, kind="ph")] == ["T-001/2"]
        assert len(list_results(connection, at_most=1)) == 1
        assert get_result(connection, "T-001").called == "T-001/2"


def test_new_work_on_the_withdrawn_is_refused_but_comments_stay_open(lab: Notebook) -> None:
    enter_trial(lab)
    with lab.write(WHO) as writer:
        withdraw(writer, "trial", "T-001", "made twice")
    refused = r"trial T-001 is withdrawn \(made twice\), expected one that stands"
    with pytest.raises(NotebookError, match=refused):
        result(lab)
    with pytest.raises(NotebookError, match=refused), lab.write(WHO) as writer:
        add_decision(writer, "trial", "T-001", "go on", "good")
    with pytest.raises(NotebookError, match=refused), lab.write(WHO) as writer:
        add_attachment(writer, "trial", "T-001", "a.txt", b"a")
    with lab.write(WHO) as writer:
        add_comment(writer, "trial", "T-001", "see T-002")
    with lab.write(WHO) as writer:
        withdraw(writer, "formula", "K-07@1", "wrong")
    with pytest.raises(NotebookError, match=r"formula K-07@1 is withdrawn \(wrong\)"):
        enter_trial(lab)


def test_withdrawing_sees_changes_by_others(lab: Notebook) -> None:
    enter_trial(lab)
    with lab.write(WHO) as writer:
        writer.change("trial", locate(writer.connection, "trial", "T-001"), {"note": "x"},
                      revision=1)  # fmt: skip
    with pytest.raises(ConflictError, match="trial T-001 was changed by"), lab.write(WHO) as writer:
        withdraw(writer, "trial", "T-001", "made twice", revision=1)
    with lab.write(WHO) as writer:
        withdraw(writer, "trial", "T-001", "made twice", revision=2)


def test_each_verdict_can_be_decided(lab: Notebook) -> None:
    with lab.write(WHO) as writer:
        ids = [
            add_decision(writer, "formula", "K-07", f" {verdict.upper()} ", "as measured")
            for verdict in VERDICTS
        ]
    with lab.read() as connection:
        found = [get_decision(connection, id) for id in ids]
        assert list_decisions(connection, "formula", "K-07@1") == tuple(reversed(found))
        assert list_decisions(connection) == tuple(reversed(found))
    assert [one.verdict for one in found] == list(VERDICTS)
    assert {(one.reason, one.noun) for one in found} == {("as measured", "formula")}


_A_DECISION_THAT_CANNOT_BE_IS_REFUSED: tuple[tuple[Any, str], ...] = (
    (("formula", "K-07", "perhaps", "x"), "the verdict is 'perhaps', expected one of go on,"),
    (("formula", "K-07", "fix", " "), "the reason is empty, expected why the verdict is 'fix'"),
    (("formula", "K-99", "fix", "x"), "no formula is called 'K-99'"),
    (("account", "K-07", "fix", "x"), "'account' is no noun, expected one of project,"),
    (("recipe", "K-07", "fix", "x"), "'recipe' is no noun"),
)


def test_a_decision_that_cannot_be_is_refused(lab: Notebook) -> None:
    before = lab.head()
    for given, said in _A_DECISION_THAT_CANNOT_BE_IS_REFUSED:
        with pytest.raises(InputError, match=said), lab.write(WHO) as writer:
            add_decision(writer, *given)
    assert lab.head() == before


def test_comments_and_files_hang_on_anything(lab: Notebook) -> None:
    enter_trial(lab)
    called = result(lab)
    with lab.write(WHO) as writer:
        comment = add_comment(writer, "result", called, "  spindle 4  ")
        with pytest.raises(InputError, match="the comment is empty"):
            add_comment(writer, "result", called, " ")
        file = add_attachment(writer, "comment", comment, "C:\\lab\\photo.png", b"\x89PNG")
        with pytest.raises(InputError, match="the file's name is empty"):
            add_attachment(writer, "comment", comment, "", b"")
    with lab.read() as connection:
        assert get_comment(connection, comment[:14]).text == "spindle 4"
        assert [c.id for c in list_comments(connection, "result", called)] == [comment]
        kept = get_attachment(connection, file)
        assert (kept.name, kept.media_type) == ("photo.png", "image/png")
        assert attached(connection, kept.sha256) == b"\x89PNG"
        assert list_attachments(connection, "comment", comment) == (kept,)
    assert verify(lab).holds
