"""The simulator's server answers as the real API does: the same posts to both, answer by answer."""

from __future__ import annotations

import json
import random
from typing import Any

from django.core.cache import cache

from hardpan.site.entries.models import renew_epoch
from tests.phone.scripts import QUEUE, node
from tests.site.conftest import Browser, Cast, cast, new_id, note

__all__ = ["cast"]

ENTRIES = "/api/streets/teal-crescent/entries"
CLOCK = "2026-06-09T08:06:00.120-06:00"
ASKED = 400
MANNERS = ("plain", "spelled out", "other order", "other street", "other role", "bad id", "no id", "other words")


def an_entry(chance: random.Random) -> dict[str, Any]:
    """An entry of one of few ids, so that they meet again: the same, spelled otherwise, or another one."""
    entry = note(chance.randrange(60), payload={"note": "word"})
    match chance.choices(MANNERS, (10, 3, 3, 1, 1, 1, 1, 3))[0]:
        case "spelled out":
            entry |= {"name": "", "photo": None, "corrects": None, "place": None}
        case "other order":
            entry = dict(reversed(entry.items()))
        case "other street":
            entry["street"] = "other-crescent"
        case "other role":
            entry["role"] = "foreman"
        case "bad id":
            entry["id"] = entry["id"].upper().replace("0", "A", 1)
        case "no id":
            entry["id"] = "an id " * 40
        case "other words":
            entry["payload"] = {"note": "other"}
    return entry


def a_body(chance: random.Random) -> str:
    """A post; one in eight is none that an API takes."""
    post: dict[str, Any] = {"entries": [an_entry(chance) for _ in range(chance.choice([1, 1, 2, 5, 50]))]}
    if chance.random() < 0.5:
        post |= {"sent_at": CLOCK, "heard_at": CLOCK, "heard_said": "2026-06-09T14:06:00.123456Z"}
    match chance.randrange(40):
        case 0:
            post["heard_said" if "heard_at" in post else "heard_at"] = None if "heard_at" in post else CLOCK
        case 1:
            post["sent_at"] = "1980-01-06T00:00:00+00:00"
        case 2:
            post["entries"] = []
        case 3:
            post["entries"] = [note(number) for number in range(501)]
        case 4:
            post["entries"].append("no entry")
        case 5:
            post["more"] = 1
        case 6:
            post["entries"][0]["payload"] = {"note": "a\0b"}
    body = json.dumps(post)
    return body[:-9] if chance.random() < 0.02 else body


def something(chance: random.Random) -> dict[str, Any]:
    """A post, a reading, or a new life of the store."""
    drawn = chance.random()
    if drawn < 0.03:
        return {"renew": True}
    return {"body": a_body(chance)} if drawn < 0.85 else {"since": chance.choice([0, 3, 40, 2**53 - 1])}


def really(browser: Browser, asked: dict[str, Any]) -> dict[str, Any] | None:
    """What the site answers to somebody who does not ask too often."""
    cache.clear()
    if "renew" in asked:
        renew_epoch()
        return None
    if "since" in asked:
        answer = browser.get(ENTRIES, {"since": asked["since"]})
    else:
        answer = browser.post(ENTRIES, asked["body"], content_type="application/json")
    return {"status": answer.status_code, "plain": answer.json()}


def compared(answer: dict[str, Any] | None, lives: dict[str, int]) -> Any:
    """What must be the same of an answer: all but the clock, the words of what is wrong, and how an epoch is called."""
    if answer is None:
        return None
    plain = answer["plain"]
    if answer["status"] != 200:
        return answer["status"], plain["schema"], len(plain["problems"]) > 0
    life = lives.setdefault(plain["epoch"], len(lives))
    answers = [(one["id"], one["answer"], one["sequence"], len(one["reason"]) > 0) for one in plain.get("answers", [])]
    entries = [(one["sequence"], one["entry"]["id"], one["entry"]["payload"]) for one in plain.get("entries", [])]
    return life, answers, entries, plain.get("last"), plain.get("more"), "said_at" in plain


def test_the_model_answers_as_the_site_does(cast: Cast) -> None:
    chance = random.Random(20260609)
    asked = [something(chance) for _ in range(ASKED)]
    browser = cast.browser("operator")
    site = [really(browser, one) for one in asked]
    given = json.dumps({"street": "teal-crescent", "role": "operator", "asked": asked})
    done = node(QUEUE / "answer_posts.js", given=given)
    assert done.returncode == 0, done.stderr
    lives: tuple[dict[str, int], dict[str, int]] = ({}, {})
    pairs = [
        (compared(one, lives[0]), compared(other, lives[1]))
        for one, other in zip(site, json.loads(done.stdout), strict=True)
    ]
    assert [(number, *pair) for number, pair in enumerate(pairs) if pair[0] != pair[1]][:3] == []
    told = [answer for pair in pairs if pair[0] and len(pair[0]) == 6 for answer in pair[0][1]]
    assert {one[1] for one in told} == {"stored", "already have it", "refused"}
    assert {pair[0][0] for pair in pairs if pair[0] and len(pair[0]) == 3} == {400, 422}
    assert len(lives[0]) > 3
    assert new_id(0) in {one[0] for one in told}
