"""Forms about people."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from hardpan.site.accounts.models import Company, User
from hardpan.site.roles import Role

if TYPE_CHECKING:
    from hardpan.site.streets.models import Street

    PersonForm = forms.ModelForm[User]
else:  # only the checker of types knows that it is a form of something
    PersonForm = forms.ModelForm


class NewPerson(PersonForm):
    """A person to be added to a company."""

    class Meta:
        """What is asked."""

        model = User
        fields = ("name", "sign_in_name", "role")

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.company = company
        self.instance.set_unusable_password()


class ChangedPerson(PersonForm):
    """What the owner may change of a person; an owner sees every street of the company anyway."""

    streets: forms.ModelMultipleChoiceField[Street]

    class Meta:
        """What is asked."""

        model = User
        fields = ("name", "role", "is_active")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = self.instance.company.streets.all()
        self.fields["streets"] = forms.ModelMultipleChoiceField(
            own,
            required=False,
            widget=forms.CheckboxSelectMultiple,
            label=_("streets"),
            initial=self.instance.streets.all(),
        )

    def clean(self) -> dict[str, Any]:
        """A company keeps an owner who may sign in."""
        cleaned = super().clean() or self.cleaned_data
        stays = cleaned.get("role") == Role.OWNER and cleaned.get("is_active")
        others = User.objects.filter(company=self.instance.company, role=Role.OWNER, is_active=True)
        if not stays and not others.exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(_("Somebody must stay owner of the account: make another owner first."))
        return cleaned

    def save(self, commit: bool = True) -> User:
        """Write the person and their streets."""
        user = super().save(commit)
        user.streets.set(self.cleaned_data["streets"])
        return user
