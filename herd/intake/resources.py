"""Standing rules and recipes as files."""

from collections.abc import Sequence

from import_export.fields import Field
from import_export.instance_loaders import CachedInstanceLoader
from import_export.widgets import JSONWidget

from herd.accounts.resources import OutfitResource, Taken
from herd.intake import kept
from herd.intake.models import Recipe, StandingRule


class StandingRuleResource(OutfitResource):
    """Standing rules by what they answer."""

    class Meta(OutfitResource.Meta):
        model = StandingRule
        fields = ("alike", "choice", "label")
        import_id_fields = ("alike",)
        instance_loader_class = CachedInstanceLoader

    def write(self, taken: Sequence[Taken]) -> None:
        rules = [{name: getattr(one.instance, name) for name in self.Meta.fields} for one in taken]
        kept.keep_rules(outfit=self.outfit, by=self.person, rules=rules)


class RecipeResource(OutfitResource):
    """Recipes by the layout that they are for."""

    columns = Field(attribute="columns", column_name="columns", widget=JSONWidget())

    class Meta(OutfitResource.Meta):
        model = Recipe
        fields = ("layout", "name", "columns")
        import_id_fields = ("layout",)
        instance_loader_class = CachedInstanceLoader

    def write(self, taken: Sequence[Taken]) -> None:
        recipes = [{name: getattr(one.instance, name) for name in self.Meta.fields} for one in taken]
        kept.keep_recipes(outfit=self.outfit, by=self.person, recipes=recipes)
