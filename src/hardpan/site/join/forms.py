"""Forms about codes."""

from __future__ import annotations

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from hardpan.site.join.models import BY_CODE_ROLES


class NewCode(forms.Form):
    """Which role a code is for."""

    role = forms.ChoiceField(label=_("for"), choices=BY_CODE_ROLES, widget=forms.RadioSelect)


class Joining(forms.Form):
    """The name that somebody of the crew chooses; none is needed."""

    name = forms.CharField(label=_("what the crew calls you"), max_length=80, required=False)
    device = forms.CharField(
        max_length=64, required=False, widget=forms.HiddenInput, validators=[RegexValidator(r"\A[A-Za-z0-9_-]*\Z")]
    )
