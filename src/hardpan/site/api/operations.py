"""Operations of the API. Who may call which stands in ``roles``; the guard has asked before any of them runs."""

from __future__ import annotations

import hashlib
from typing import Annotated, Any

from django.http import Http404, HttpResponse
from django.utils import timezone
from ninja import File, Form, NinjaAPI, Query, Status
from ninja.errors import HttpError, ValidationError
from ninja.files import UploadedFile

import hardpan
from hardpan.errors import StreetError
from hardpan.site import answers as told
from hardpan.site.api import shapes, wire
from hardpan.site.entries import folders, post, store
from hardpan.site.entries.models import epoch
from hardpan.site.entries.state import state_of
from hardpan.site.entries.told import plain
from hardpan.site.guard import SiteRequest
from hardpan.site.keeping.backup import last_backup
from hardpan.site.photos import store as photos
from hardpan.site.photos.cleaned import PhotoError
from hardpan.site.photos.models import Photo
from hardpan.site.record.ahead import outlook_of
from hardpan.site.record.made import TYPES as RECORD_TYPES
from hardpan.site.record.made import record_of
from hardpan.site.streets import known
from hardpan.site.streets.folders import FolderError, folder_of_files, folder_of_zip, zip_of
from hardpan.site.streets.models import SLUG, Street, content_hash

Wrong = dict[int, type[shapes.Problems]]
WRONG: Wrong = dict.fromkeys((400, 401, 403, 404, 405, 413, 422, 429), shapes.Problems)
JSON = "application/json; charset=utf-8"
Since = Annotated[int, Query(0, ge=0, lt=2**63, description="sequence number of the last entry that the caller has")]
Slug = Annotated[
    str, Form("", max_length=60, pattern=rf"^({SLUG})?$", description="short name; not said: from the folder")
]
Uploads = Annotated[list[UploadedFile], File(..., description="files of the folder, or one zip of it")]

api = NinjaAPI(
    title="Hardpan",
    version=hardpan.__version__,
    description="Streets, their plans and their ledgers. Hardpan plans and records; the engineer decides.",
    urls_namespace="api",
    docs_url=None,
    parser=wire.StrictParser(),
)
api.exception_handler(Http404)(told.not_found)
api.exception_handler(HttpError)(wire.no_json)
api.exception_handler(ValidationError)(wire.no_such_shape)
api.exception_handler(StreetError)(wire.broken_street)
api.exception_handler(FolderError)(wire.broken_folder)
api.exception_handler(PhotoError)(wire.broken_photo)


def said_at() -> str:
    """The store's clock."""
    return store.stamp(timezone.now()).written


def covered_until() -> str | None:
    """Time of the last backup of this life of the store."""
    last = last_backup()
    return store.stamp(last.made_at).written if last else None


@api.get("/me", url_name="me", response={200: shapes.Me, **WRONG})
def me(request: SiteRequest) -> dict[str, Any]:
    """Who the caller is, and which streets are theirs."""
    caller = request.caller
    return {
        "role": caller.role.value,
        "name": caller.name,
        "streets": [street.slug for street in caller.streets],
        "epoch": str(epoch()),
        "most_entries": shapes.MOST_ENTRIES,
    }


@api.get("/streets", url_name="streets", response={200: list[shapes.StreetInList], **WRONG})
def streets(request: SiteRequest) -> list[dict[str, Any]]:
    """Streets of the caller."""
    return [_listed(street) for street in request.caller.streets]


@api.post("/streets", url_name="streets", response={201: shapes.FolderTaken, **WRONG})
def bring_in(request: SiteRequest, files: Uploads, slug: Slug) -> Status[dict[str, Any]]:
    """Store a new street from its folder."""
    _top, folder = _folder(files)
    user = request.caller.user
    if user is None:
        raise Http404
    street, answers = folders.bring_in(user, folder, slug=slug)
    return Status(201, {"slug": street.slug, "name": street.name, "answers": answers})


def _folder(files: list[UploadedFile]) -> tuple[str, dict[str, bytes]]:
    """Name and files of an upload."""
    if len(files) == 1 and (files[0].name or "").lower().endswith(".zip"):
        return folder_of_zip(files[0].read())
    return "", folder_of_files((file.name or "", file.read()) for file in files)


def _listed(street: Street) -> dict[str, Any]:
    """A street in a list."""
    return {"slug": street.slug, "name": street.name, "entries": street.last_sequence}


@api.get("/streets/{slug:slug}", url_name="street", response={200: shapes.StreetWhole, **WRONG})
def street(request: SiteRequest, slug: str) -> dict[str, Any]:
    """A street and the files of its folder."""
    folder = request.street.folder()
    files = [
        {"name": name, "size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in folder.items()
    ]
    return _listed(request.street) | {"files": files, "content": content_hash(folder)}


@api.get("/streets/{slug:slug}/folder", url_name="folder", response={200: bytes, **WRONG})
def take_out(request: SiteRequest, slug: str) -> HttpResponse:
    """The folder of a street as a zip, its ledger up to now inside."""
    packed = zip_of(request.street.slug, folders.take_out(request.street))
    name = f'attachment; filename="{request.street.slug}.zip"'
    return HttpResponse(packed, content_type="application/zip", headers={"Content-Disposition": name})


@api.post("/streets/{slug:slug}/folder", url_name="folder", response={200: shapes.FolderTaken, **WRONG})
def replace(request: SiteRequest, slug: str, files: Uploads) -> dict[str, Any]:
    """Replace what is known of a street; entries of a ledger in the folder are added to its ledger."""
    answers = folders.replace(request.street, _folder(files)[1])
    request.street.refresh_from_db()
    return {"slug": request.street.slug, "name": request.street.name, "answers": answers}


@api.get("/streets/{slug:slug}/plan", url_name="plan", response={200: dict[str, Any], **WRONG})
def plan(request: SiteRequest, slug: str) -> HttpResponse:
    """The plan of a street: the object that ``hardpan plan --json`` writes."""
    return HttpResponse(known.plan_as_json(request.street), content_type=JSON)


@api.get("/streets/{slug:slug}/entries", url_name="entries", response={200: shapes.Entries, **WRONG})
def entries(request: SiteRequest, slug: str, since: Since = 0) -> dict[str, Any]:
    """Entries of a street in the order in which they arrived."""
    rows = store.rows_since(request.street, since, most=shapes.MOST_ENTRIES + 1)
    shown = rows[: shapes.MOST_ENTRIES]
    return {
        "epoch": str(epoch()),
        "said_at": said_at(),
        "covered_until": covered_until(),
        "entries": [{"sequence": row.sequence, "brought_by": row.brought_by, **store.plain(row)} for row in shown],
        "last": shown[-1].sequence if shown else since,
        "more": len(rows) > len(shown),
    }


@api.post("/streets/{slug:slug}/entries", url_name="entries", response={200: shapes.AnswersToEntries, **WRONG})
def add_entries(request: SiteRequest, slug: str, posted: shapes.PostedEntries) -> dict[str, Any]:
    """Take entries; when this answers, what it calls stored is on the disk."""
    caller = request.caller
    sent = post.Post(posted.entries, posted.sent_at, posted.heard_at, posted.heard_said)
    answers = post.take(request.street, sent, role=caller.role, name=caller.name)
    return {"epoch": str(epoch()), "said_at": said_at(), "covered_until": covered_until(), "answers": answers}


@api.get("/streets/{slug:slug}/state", url_name="state", response={200: shapes.StateNow, **WRONG})
def state(request: SiteRequest, slug: str) -> dict[str, Any]:
    """What the ledger adds up to: clocks, cement, water, passes, results, what became of every entry."""
    last, now = state_of(request.street)
    return {
        "epoch": str(epoch()),
        "said_at": said_at(),
        "last": last,
        "state": plain(now),
    }


@api.get("/streets/{slug:slug}/outlook", url_name="outlook", response={200: shapes.OutlookNow, **WRONG})
def outlook(request: SiteRequest, slug: str) -> dict[str, Any]:
    """What is next for every role and by when, where cement and water run out, what is at risk if the mixer stops now."""
    last, ahead = outlook_of(request.street)
    return {"epoch": str(epoch()), "said_at": said_at(), "last": last, "outlook": plain(ahead)}


@api.get("/streets/{slug:slug}/record/{file}", url_name="record", response={200: bytes, **WRONG})
def record(request: SiteRequest, slug: str, file: shapes.RecordFile) -> HttpResponse:
    """The hand-over record up to now: ``record.pdf`` with everything inside, ``record.xlsx``, ``record.jsonl`` with its chain."""
    name = f'attachment; filename="{request.street.slug}-{file}"'
    content = record_of(request.street)[file]
    return HttpResponse(content, content_type=RECORD_TYPES[file], headers={"Content-Disposition": name})


@api.get("/streets/{slug:slug}/refused", url_name="refused", response={200: shapes.Refused, **WRONG})
def refused(request: SiteRequest, slug: str) -> dict[str, Any]:
    """Entries that were refused because another one has their id: kept, never counted."""
    return {"refused": [store.plain(row) for row in store.refused_rows(request.street)]}


@api.post(
    "/streets/{slug:slug}/photos", url_name="photos", response={200: shapes.PhotoKept, 201: shapes.PhotoKept, **WRONG}
)
def keep_photo(request: SiteRequest, slug: str, photo: Annotated[UploadedFile, File(...)]) -> Status[Photo]:
    """Keep a photo: drawn anew, without place and without anything behind the picture."""
    kept, new = photos.keep(request.street, photo.read())
    return Status(201 if new else 200, kept)


@api.get("/streets/{slug:slug}/photos/{sha256}", url_name="photo", response={200: bytes, **WRONG})
def photo(request: SiteRequest, slug: str, sha256: str) -> HttpResponse:
    """A photo by the hash of its bytes, as they were sent or as they are kept."""
    found = photos.find(request.street, sha256)
    if found is None:
        raise Http404
    headers = {"Cache-Control": "private, max-age=31536000, immutable"}
    return HttpResponse(photos.path_of(found.sha256).read_bytes(), content_type=found.media_type, headers=headers)
