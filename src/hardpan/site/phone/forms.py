"""Taps of a phone without script: the key and what its pad was answered, as a form sends them."""

from __future__ import annotations

from typing import Any

from django import forms

from hardpan.compare.taps import Offer
from hardpan.street import Street
from hardpan.street.places import read_strips
from hardpan.street.units import UnitError, number

MOST_FIELDS = 12


class Tap(forms.Form):
    """A key that was tapped: ``key`` names the offer, ``tap`` is its id, so that a form sent twice enters once."""

    key = forms.CharField(max_length=120)
    tap = forms.UUIDField()
    not_checked = forms.BooleanField(required=False)
    choice = forms.IntegerField(required=False, min_value=0)
    station_m = forms.CharField(required=False, max_length=20)
    text = forms.CharField(required=False, max_length=40)

    def answers(self, offer: Offer) -> dict[str, Any]:
        """What the pad of an offer was answered; adds what is wrong to the form's errors."""
        pad, cleaned = offer["pad"], self.cleaned_data
        if pad is None:
            return {}
        if pad["kind"] == "choice":
            return {"choice": self._chosen(pad["choices"])}
        if pad["kind"] == "where":
            return {"station_m": self._number("station_m", cleaned["station_m"], pad["start_m"], pad["end_m"])}
        if cleaned["not_checked"] and pad["not_checked"] is not None:
            return {"not_checked": True}
        told = [self.data.get(f"number-{at}", "") for at in range(len(pad["fields"]))]
        numbers = [
            self._number(f"number-{at}", text, one["least"], one["most"])
            for at, (text, one) in enumerate(zip(told, pad["fields"], strict=True))
        ]
        return {"numbers": numbers, "text": cleaned["text"]}

    def _chosen(self, choices: list[Any]) -> int:
        """Place of the word that was chosen."""
        at = self.cleaned_data["choice"]
        if at is None or at >= len(choices):
            self.add_error("choice", ", ".join(one["words"] for one in choices))
            return 0
        return int(at)

    def _number(self, name: str, text: str, least: float, most: float) -> float:
        """Number as people write it, with a comma or a dot."""
        try:
            value = number(text)
        except UnitError as error:
            self.add_error(None, f"{name}: {error}")
            return 0.0
        if not least <= value <= most:
            self.add_error(None, f"{name}: {value:g}; {least:g} to {most:g}")
        return value


class Instruction(forms.Form):
    """A rate instruction as it is agreed at the curb."""

    tap = forms.UUIDField()
    zone = forms.CharField(max_length=40)
    start_m = forms.FloatField()
    end_m = forms.FloatField()
    strips = forms.ChoiceField(choices=[(side, side) for side in ("all", "left", "right")])
    rate_kg_m2 = forms.CharField(max_length=20)
    depth_mm = forms.CharField(required=False, max_length=20)
    depth_state = forms.ChoiceField(
        required=False, choices=[("", "")] + [(s, s) for s in ("original", "loose", "rolled")]
    )
    said_by = forms.CharField(max_length=80)
    heard_by = forms.CharField(max_length=80)

    def clean_rate_kg_m2(self) -> float:
        """Rate, with a comma or a dot."""
        return self._figure("rate_kg_m2")

    def clean_depth_mm(self) -> float | None:
        """Depth, where it was said."""
        return self._figure("depth_mm") if self.cleaned_data["depth_mm"] else None

    def _figure(self, name: str) -> float:
        """Number as people write it."""
        try:
            return number(self.cleaned_data[name])
        except UnitError as error:
            raise forms.ValidationError(str(error)) from error

    def entry(self, street: Street) -> dict[str, Any]:
        """Place and payload of the entry."""
        told = self.cleaned_data
        payload = {name: told[name] for name in ("zone", "rate_kg_m2", "said_by", "heard_by")}
        if told["depth_mm"] is not None and told["depth_state"]:
            payload |= {"depth_mm": told["depth_mm"], "depth_state": told["depth_state"]}
        strips = list(read_strips(told["strips"], street.strips))
        return {"place": {"start_m": told["start_m"], "end_m": told["end_m"], "strips": strips}, "payload": payload}
