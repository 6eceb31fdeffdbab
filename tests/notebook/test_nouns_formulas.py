"""Projects, briefs, materials and formula versions, on both databases."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import zincite.data
from tests.notebook.entries import WHO, cream, cream_text, enter_cream, enter_project
from zincite.errors import InputError, NotebookError
from zincite.formula.brief import Brief
from zincite.formula.formula import Formula
from zincite.formula.library import library
from zincite.formula.reading import load_formula
from zincite.notebook.attachments import attached, list_attachments
from zincite.notebook.briefs import add_brief, get_brief, keep_brief, list_briefs, open_brief
from zincite.notebook.formulas import add_formula, get_formula, list_formulas, open_formula
from zincite.notebook.history import family_of, first_entry, list_entries
from zincite.notebook.locating import locate, subjects_called
from zincite.notebook.materials import (
    add_material,
    get_material,
    keep_material,
    known_material,
    list_materials,
    open_material,
)
from zincite.notebook.projects import add_project, get_project, list_projects
from zincite.notebook.schema import NOUNS
from zincite.notebook.store import Notebook
from zincite.notebook.verifying import verify
from zincite.notebook.withdrawing import withdraw

DEMO = Path(zincite.data.__file__).parent / "demo"


def bare(formula: Formula) -> Formula:
    """Return a formula without where it was read from."""
    return replace(formula, path=None, replaced_cards=())


def test_a_project_has_a_code_of_its_own(notebook: Notebook) -> None:
    id = enter_project(notebook, "FLUID")
    with pytest.raises(NotebookError, match="project FLUID is there already, expected a new code"):
        enter_project(notebook, " FLUID ")
    with notebook.read() as connection:
        found = get_project(connection, "FLUID")
        assert (found.id, found.name, found.revision, found.withdrawn) == (id, "FLUID", 1, "")
        assert get_project(connection, id) == found
        assert list_projects(connection) == (found,)


def test_a_code_that_is_none_is_refused(notebook: Notebook) -> None:
    for code in ("", "  ", "K@1", "a\nb"):
        with pytest.raises(InputError, match=r"project.*code.*expected"):
            enter_project(notebook, code)
    assert notebook.head() == (0, "")


def test_what_is_not_there_is_said_with_what_is_close(notebook: Notebook) -> None:
    with notebook.read() as connection, pytest.raises(NotebookError, match="no project yet"):
        get_project(connection, "FLUID")
    enter_project(notebook, "FLUID")
    with notebook.read() as connection:
        with pytest.raises(NotebookError, match=r"no project is called 'FLIUD'.*such as FLUID"):
            get_project(connection, "FLIUD")
        with pytest.raises(NotebookError, match="beginning of an id such as comment-0f3a"):
            locate(connection, "comment", "x")


def test_a_formula_comes_back_as_it_was_entered(notebook: Notebook) -> None:
    enter_project(notebook)
    assert enter_cream(notebook) == "K-07@1"
    with notebook.read() as connection:
        assert bare(open_formula(connection, "K-07@1")) == bare(cream())
        found = get_formula(connection, "K-07")
    assert (found.project, found.number, found.parent, found.reason) == ("FLUID", 1, None, "")
    assert verify(notebook).holds


@pytest.mark.parametrize("name", ["fluid", "coarser-grade", "titanium-dioxide-only"])
def test_the_invented_formulas_come_back_without_their_files(notebook: Notebook, name: str) -> None:
    formula = load_formula(DEMO / f"{name}.toml")
    with notebook.write(WHO) as writer:
        add_project(writer, "DEMO")
        id = add_formula(writer, formula, "", "DEMO")
    with notebook.read() as connection:
        assert bare(open_formula(connection, id)) == bare(formula)
        assert list_attachments(connection, "formula", id) == ()


def test_the_text_as_typed_is_kept_beside_the_version(notebook: Notebook) -> None:
    enter_project(notebook)
    called = enter_cream(notebook)
    with notebook.read() as connection:
        (kept,) = list_attachments(connection, "formula", called)
        assert attached(connection, kept.sha256) == cream_text().encode()
        assert "# typed by hand" not in get_formula(connection, called).toml


def test_items_hold_core_and_coating_of_grades_and_of_those_in_blends(notebook: Notebook) -> None:
    enter_project(notebook)
    called = enter_cream(notebook)
    with notebook.read() as connection:
        items = {item.material_key: item for item in get_formula(connection, called).items}
    shown = {key: (item.phase, item.percent, item.core, item.coating)
             for key, item in items.items()}  # fmt: skip
    assert shown == {
        "own-dispersion": ("A", 30.0, "zinc-oxide", "Triethoxycaprylylsilane"),
        "titanium-dioxide-35-silica-dimethicone": (
            "A", 2.0, "titanium-dioxide-rutile", "Silica + Dimethicone",
        ),
        "coco-caprylate": ("A", 20.0, "", ""),
        "polyglyceryl-3-diisostearate": ("A", 3.0, "", ""),
        "water": ("B", pytest.approx(44.3), "", ""),
        "magnesium-sulfate": ("B", 0.7, "", ""),
    }  # fmt: skip


def test_a_version_needs_a_change_and_a_reason_and_keeps_its_lineage(notebook: Notebook) -> None:
    enter_project(notebook)
    enter_cream(notebook)
    with pytest.raises(NotebookError, match="K-07 is the same as K-07@1, expected a change"):
        enter_cream(notebook, reason="none")
    with pytest.raises(InputError, match="K-07: the reason is empty, expected why"):
        enter_cream(notebook, zinc=28)
    assert enter_cream(notebook, 28, "less white") == "K-07@2"
    with notebook.write(WHO) as writer:
        renamed = replace(cream(26), code="K-08")
        add_formula(writer, renamed, "", "FLUID", parent="K-07@1")
    with notebook.read() as connection:
        found = list_formulas(connection, project="FLUID")
        assert [(f.called, f.parent) for f in found] == [
            ("K-07@1", None), ("K-07@2", "K-07@1"), ("K-08@1", "K-07@1"),
        ]  # fmt: skip
        latest = list_formulas(connection, latest=True)
        assert [f.called for f in latest] == ["K-07@2", "K-08@1"]


def test_an_earlier_text_may_come_back_as_a_new_version(notebook: Notebook) -> None:
    enter_project(notebook)
    enter_cream(notebook, 30)
    enter_cream(notebook, 28, "less white")
    assert enter_cream(notebook, 30, "28 % was too little") == "K-07@3"


def test_a_withdrawn_version_is_passed_over_and_refused(notebook: Notebook) -> None:
    enter_project(notebook)
    enter_cream(notebook, 30)
    enter_cream(notebook, 28, "less white")
    with notebook.write(WHO) as writer:
        withdraw(writer, "formula", "K-07@2", "typed wrong")
    with notebook.read() as connection:
        assert get_formula(connection, "K-07").called == "K-07@1"
        assert get_formula(connection, "K-07@2").withdrawn == "typed wrong"
        assert [f.called for f in list_formulas(connection, latest=True)] == ["K-07@1"]
    with (
        pytest.raises(NotebookError, match=r"K-07@2 is withdrawn \(typed wrong\), expected one"),
        notebook.write(WHO) as writer,
    ):
        add_formula(writer, cream(27), "", "FLUID", "more", parent="K-07@2")
    assert enter_cream(notebook, 28, "again, right now") == "K-07@3"
    with notebook.read() as connection:
        assert get_formula(connection, "K-07@3").parent == "K-07@1"


def test_a_formula_of_an_unknown_or_withdrawn_project_is_refused(notebook: Notebook) -> None:
    enter_project(notebook, "OTHER")
    with pytest.raises(NotebookError, match="no project is called 'FLUID'"):
        enter_cream(notebook)
    enter_project(notebook, "FLUID")
    with notebook.write(WHO) as writer:
        withdraw(writer, "project", "FLUID", "cancelled")
    with pytest.raises(NotebookError, match=r"project FLUID is withdrawn \(cancelled\)"):
        enter_cream(notebook)


def test_briefs_are_numbered_and_equal_ones_kept_once(notebook: Notebook) -> None:
    enter_project(notebook)
    first, second = Brief(name="First", label_spf=30), Brief(name="Second", label_spf=50)
    with notebook.write(WHO) as writer:
        add_brief(writer, "FLUID", first)
        id, is_new = keep_brief(writer, "FLUID", first, "again")
        assert not is_new
        with pytest.raises(NotebookError, match="the same as FLUID/1"):
            add_brief(writer, "FLUID", first, "again")
        with pytest.raises(InputError, match="reason is empty"):
            add_brief(writer, "FLUID", second)
        add_brief(writer, "FLUID", second, "the market asks for more")
    with notebook.read() as connection:
        assert [brief.called for brief in list_briefs(connection, "FLUID")] == [
            "FLUID/1", "FLUID/2",
        ]  # fmt: skip
        assert get_brief(connection, "FLUID/1").id == id
        assert get_brief(connection, "FLUID").called == "FLUID/2"
        assert open_brief(connection, "FLUID/1") == first
        assert open_brief(connection, "FLUID/2") == second


def test_cards_have_versions_and_come_back(notebook: Notebook) -> None:
    card = cream().materials["own-zinc-oxide"]
    other = replace(card, notes="supplier's new coating")
    with notebook.write(WHO) as writer:
        add_material(writer, card)
        with pytest.raises(NotebookError, match="the same as own-zinc-oxide@1"):
            add_material(writer, card, "none")
        with pytest.raises(InputError, match="expected what changed since own-zinc-oxide@1"):
            add_material(writer, other)
        assert keep_material(writer, other, "new coating")[1]
        assert not keep_material(writer, other, "new coating")[1]
    with notebook.read() as connection:
        assert open_material(connection, "own-zinc-oxide@1") == card
        assert open_material(connection, "own-zinc-oxide") == other
        assert [m.called for m in list_materials(connection, latest=True)] == ["own-zinc-oxide@2"]
        assert get_material(connection, "own-zinc-oxide@2").reason == "new coating"
        assert known_material(connection, "own-zinc-oxide", "here") == "own-zinc-oxide"
        assert known_material(connection, "glycerin", "here") in library()
        with pytest.raises(NotebookError, match=r"here: no material is called 'glycerine'.*glycer"):
            known_material(connection, "glycerine", "here")


def test_the_history_tells_what_hangs_on_a_formula(notebook: Notebook) -> None:
    enter_project(notebook)
    enter_cream(notebook, 30)
    enter_cream(notebook, 28, "less white")
    with notebook.write("B. Example") as writer:
        withdraw(writer, "formula", "K-07@2", "typed wrong")
    with notebook.read() as connection:
        assert subjects_called(connection, "K-07") == [
            ("formula", get_formula(connection, "K-07@1").id)
        ]
        about = family_of(connection, *subjects_called(connection, "K-07")[0])
        found = list_entries(connection, about)
        assert [(e.kind, e.called, e.said) for e in found] == [
            ("formula withdrawn", "K-07@2", "typed wrong"),
            ("attachment added", "attachment on K-07@2", "K-07.toml"),
            ("formula added", "K-07@2", "less white"),
            ("attachment added", "attachment on K-07@1", "K-07.toml"),
            ("formula added", "K-07@1", ""),
        ]
        first = first_entry(connection, "formula", get_formula(connection, "K-07@2").id)
        assert (first.who, first.kind) == (WHO, "formula added")
        assert found[0].who == "B. Example"
        assert len(list_entries(connection, at_most=2)) == 2
        assert len(list_entries(connection)) == notebook.head()[0]


def test_every_noun_of_the_schema_can_be_located(notebook: Notebook) -> None:
    """Guard: a new noun must say what it is called by."""
    with notebook.read() as connection:
        for noun in NOUNS:
            with pytest.raises(NotebookError):
                locate(connection, noun, "nothing")
