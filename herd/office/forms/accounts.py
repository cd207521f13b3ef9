"""Forms for the first start, for signing in, for passwords, and for the people of an outfit."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.utils.text import slugify

from herd.accounts.models import Role
from herd.accounts.services import AccountError
from herd.values.mass import WeightUnit

NEAR_ZONES = (
    "America/Denver",
    "America/Boise",
    "America/Phoenix",
    "America/Chicago",
    "America/Los_Angeles",
    "America/New_York",
    "America/Anchorage",
    "Pacific/Honolulu",
)


# Least first, as a new person should get no more than the work asks for.
ROLE_CHOICES = [(role.value, role.label) for role in (Role.READER, Role.CREW, Role.OFFICE, Role.OWNER)]


def zone_choices() -> list[Any]:
    """The time zones, those of the United States first."""
    rest = sorted(name for name in available_timezones() if "/" in name and name not in NEAR_ZONES)
    return [
        ("United States", [(name, name.replace("_", " ")) for name in NEAR_ZONES]),
        ("Elsewhere", [(name, name.replace("_", " ")) for name in rest]),
    ]


class SignInForm(AuthenticationForm):
    """Name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "User name"

    error_messages = {  # noqa: RUF012
        "invalid_login": "That name and password don't belong together. Mind capital letters.",
        "inactive": "This person may not sign in any more.",
    }


class FirstRunForm(forms.Form):
    """The outfit and its first person, who owns it."""

    name = forms.CharField(label="Name of the outfit", max_length=120)
    code = forms.SlugField(
        label="Short name",
        max_length=40,
        required=False,
        help_text="Used on the command line; leave empty and it is made from the name.",
    )
    time_zone = forms.ChoiceField(label="Time zone", choices=zone_choices, initial="America/Denver")
    weight_unit = forms.ChoiceField(
        label="Weights are in",
        choices=[(WeightUnit.LB.value, "pounds (lb)"), (WeightUnit.KG.value, "kilograms (kg)")],
    )
    username = forms.CharField(
        label="Your user name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username"})
    )
    password = forms.CharField(
        label="Password",
        help_text="Ten characters or more; a short sentence is easy to remember.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        strip=False,
    )
    again = forms.CharField(
        label="Password once more",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        strip=False,
    )

    def clean(self) -> dict[str, Any]:
        """Compare the passwords, and make the short name where none was given."""
        data = super().clean() or self.cleaned_data
        if data.get("password") and data.get("again") and data["password"] != data["again"]:
            self.add_error("again", "The two passwords differ.")
        if not data.get("code") and data.get("name"):
            data["code"] = slugify(data["name"])[:40] or "outfit"
        return data


def new_password(label: str, hint: str = "") -> forms.CharField:
    """A password being chosen."""
    widget = forms.PasswordInput(attrs={"autocomplete": "new-password"})
    return forms.CharField(label=label, help_text=hint, widget=widget, strip=False, max_length=200)


class PersonForm(forms.Form):
    """Someone who joins the outfit; without a password a one-time code is made."""

    username = forms.CharField(
        label="User name",
        max_length=150,
        help_text="What the person signs in with; letters, digits and . - _ @ +.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
    )
    given = forms.CharField(label="Given name", max_length=100, required=False)
    family = forms.CharField(label="Family name", max_length=100, required=False)
    role = forms.ChoiceField(label="Role", choices=ROLE_CHOICES, initial=Role.CREW.value)
    password = new_password(
        "First password",
        "Ten characters or more. Leave it empty and a one-time code is made, with which the person chooses one.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].required = False


class RoleForm(forms.Form):
    """Another role for someone of the outfit."""

    role = forms.ChoiceField(label="Role", choices=ROLE_CHOICES)


class ResetForm(forms.Form):
    """A one-time code and the new password."""

    username = forms.CharField(
        label="User name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username"})
    )
    code = forms.CharField(
        label="One-time code",
        max_length=40,
        help_text="Three groups of four letters and digits, such as 7K3M-Q9TB-2XWD. Capitals and dashes don't matter.",
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
    password = new_password("New password", "Ten characters or more; a short sentence is easy to remember.")
    again = new_password("New password once more")

    def clean(self) -> dict[str, Any]:
        """Compare the passwords."""
        data = super().clean() or self.cleaned_data
        if data.get("password") and data.get("again") and data["password"] != data["again"]:
            self.add_error("again", "The two passwords differ.")
        return data


def show_account_error(form: forms.Form, problem: AccountError) -> None:
    """Put the sentence beside its field."""
    form.add_error(problem.field if problem.field in form.fields else None, str(problem))
