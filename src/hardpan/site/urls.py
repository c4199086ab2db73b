"""Addresses of the site; who may use which stands in ``roles``."""

from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver

from hardpan.site.accounts import views as accounts
from hardpan.site.api.operations import api
from hardpan.site.board import views as board
from hardpan.site.entries import views as entries
from hardpan.site.join import views as join
from hardpan.site.streets import views as streets

urlpatterns: list[URLPattern | URLResolver] = [
    path("", streets.home, name="home"),
    path("sign-in/", accounts.sign_in, name="sign-in"),
    path("sign-out/", accounts.sign_out, name="sign-out"),
    path("password/", accounts.password, name="password"),
    path("invitation/<uidb64>/<token>/", accounts.take_up_invitation, name="invitation"),
    path("people/", accounts.people, name="people"),
    path("people/<int:person>/", accounts.person, name="person"),
    path("people/<int:person>/invite/", accounts.invite, name="person-invite"),
    path("join/<token>/", join.join, name="join"),
    path("streets/", streets.streets, name="streets"),
    path("new-street/", entries.bring_in, name="import"),
    path("streets/<slug:slug>/", streets.street, name="street"),
    path("streets/<slug:slug>/strip-map.svg", streets.strip_map, name="strip-map"),
    path("streets/<slug:slug>/codes/", join.join_codes, name="join-codes"),
    path("streets/<slug:slug>/codes/<uuid:code>/", join.join_code, name="join-code"),
    path("streets/<slug:slug>/codes/<uuid:code>/cancel/", join.cancel, name="join-code-cancel"),
    path("board/<slug:slug>/", board.board, name="board"),
    path("", include("hardpan.site.phone.urls")),
    path("api/", api.urls),
]
handler400 = "hardpan.site.answers.bad_request"
handler403 = "hardpan.site.answers.forbidden"
handler404 = "hardpan.site.answers.not_found"
handler500 = "hardpan.site.answers.failed"
