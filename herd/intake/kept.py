"""What an outfit keeps for the next field file: standing rules and recipes, taken from a file, renamed, dropped."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Outfit, OutfitChangeKind, Person
from herd.accounts.noting import note_change
from herd.intake.columns.kinds import COLUMN_KINDS
from herd.intake.models import Recipe, StandingRule
from herd.registry.services.refused import Refusal, Refused

Kept = StandingRule | Recipe
LAYOUT = re.compile(r"[0-9a-f]{64}")


@transaction.atomic
def keep_rules(*, outfit: Outfit, by: Person, rules: Sequence[Mapping[str, str]]) -> None:
    """Keep standing rules, each with alike, choice and label; raises Refused for one about a single animal."""
    for rule in rules:
        _put_rule(outfit, rule, by)
    _note(outfit, f"{len(rules)} standing rules were taken from a file.", by)


@transaction.atomic
def keep_recipes(*, outfit: Outfit, by: Person, recipes: Sequence[Mapping[str, Any]]) -> None:
    """Keep recipes, each with layout, name and columns; raises Refused for one that no file could follow."""
    for recipe in recipes:
        _put_recipe(outfit, recipe)
    _note(outfit, f"{len(recipes)} recipes were taken from a file.", by)


@transaction.atomic
def rename(*, kept: Kept, name: str, by: Person) -> None:
    """Call a rule or a recipe otherwise; what it does stays. Raises Refused for no name."""
    column = "label" if isinstance(kept, StandingRule) else "name"
    if not name.strip():
        raise Refused([Refusal("A name is needed.", column)])
    type(kept).objects.filter(pk=kept.pk).update(**{column: name.strip()})
    _note(kept.outfit, f"The {_word(kept)} is called {name.strip()} now.", by)


@transaction.atomic
def drop(*, kept: Kept, by: Person) -> None:
    """Drop a rule or a recipe: the next file asks again."""
    if type(kept).objects.filter(pk=kept.pk).delete()[0]:
        _note(kept.outfit, f"The {_word(kept)} {_name(kept)} was dropped.", by)


@transaction.atomic
def follow_rules(*, outfit: Outfit, rules: Sequence[Mapping[str, str]], dropped: Sequence[str], where: str) -> None:
    """Keep standing rules as they are at another installation, and drop those that were dropped there.

    Raises Refused for one about a single animal.
    """
    for rule in rules:
        _put_rule(outfit, rule, None)
    StandingRule.objects.filter(outfit=outfit, alike__in=dropped).delete()
    _note_came(outfit, "standing rule", [rule["label"] for rule in rules], len(dropped), where)


@transaction.atomic
def follow_recipes(*, outfit: Outfit, recipes: Sequence[Mapping[str, Any]], dropped: Sequence[str], where: str) -> None:
    """Keep recipes as they are at another installation, and drop those that were dropped there; raises Refused."""
    for recipe in recipes:
        _put_recipe(outfit, recipe)
    Recipe.objects.filter(outfit=outfit, layout__in=dropped).delete()
    _note_came(outfit, "recipe", [recipe["name"] for recipe in recipes], len(dropped), where)


def _note_came(outfit: Outfit, word: str, names: Sequence[str], dropped: int, where: str) -> None:
    came = ", ".join(f"“{name}”" for name in names)
    says = [f"From {where} came the {word}{'s' * (len(names) > 1)} {came}."] if names else []
    says += [f"{dropped} {word}{'s' * (dropped > 1)} dropped at {where} were dropped here."] if dropped else []
    for sentence in says:
        note_change(outfit=outfit, kind=OutfitChangeKind.KEPT, says=sentence, by=None)


def _put_rule(outfit: Outfit, rule: Mapping[str, str], by: Person | None) -> None:
    if not rule["label"]:
        raise Refused([Refusal("A name is needed.", "label")])
    if not rule["alike"] or not rule["choice"] or ":" in rule["choice"]:
        raise Refused([Refusal("An answer about one animal can't stand for the future.", "choice")])
    told = {"choice": rule["choice"], "label": rule["label"], "person": by, "made_at": timezone.now()}
    StandingRule.objects.update_or_create(outfit=outfit, alike=rule["alike"], defaults=told)


def _put_recipe(outfit: Outfit, recipe: Mapping[str, Any]) -> None:
    _check_recipe(recipe)
    told = {"name": recipe["name"], "columns": recipe["columns"]}
    Recipe.objects.update_or_create(outfit=outfit, layout=recipe["layout"], defaults=told)


def _check_recipe(recipe: Mapping[str, Any]) -> None:
    if not LAYOUT.fullmatch(recipe["layout"]):
        raise Refused([Refusal("A layout is 64 hexadecimal digits.", "layout")])
    if not recipe["name"]:
        raise Refused([Refusal("A name is needed.", "name")])
    columns = recipe["columns"]
    is_list = isinstance(columns, list) and all(isinstance(one, dict) for one in columns)
    if not is_list or not all(isinstance(one.get("index"), int) and one.get("kind") in COLUMN_KINDS for one in columns):
        raise Refused([Refusal("The columns of a recipe are a list, each with index and a known kind.", "columns")])


def _name(kept: Kept) -> str:
    return f"“{kept.label}”" if isinstance(kept, StandingRule) else f"“{kept.name}”"


def _word(kept: Kept) -> str:
    return "standing rule" if isinstance(kept, StandingRule) else "recipe"


def _note(outfit: Outfit, says: str, by: Person) -> None:
    note_change(outfit=outfit, kind=OutfitChangeKind.KEPT, says=says, by=by)
