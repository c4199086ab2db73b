"""Forms about streets."""

from __future__ import annotations

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from hardpan.site.streets.models import SLUG


class Folder(forms.Form):
    """A zipped folder of a street."""

    folder = forms.FileField(label=_("zip of the street's folder"))
    slug = forms.CharField(
        label=_("short name, where the folder shall not give it"),
        max_length=60,
        required=False,
        validators=[
            RegexValidator(rf"\A{SLUG}\Z", _("small letters, digits and single hyphens, such as kestrel-road"))
        ],
    )
