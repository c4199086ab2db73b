"""Addresses of the phone; who may use which stands in ``roles``."""

from django.urls import path

from hardpan.site.phone import views
from hardpan.site.phone.worker import worker

urlpatterns = [
    path("worker.js", worker, name="worker"),
    path("manifest.webmanifest", views.manifest, name="manifest"),
    path("phone/<slug:slug>/", views.day, name="phone-day"),
    path("phone/<slug:slug>/far/", views.far, name="phone-far"),
    path("phone/<slug:slug>/drive/", views.drive, name="phone-drive"),
    path("phone/<slug:slug>/rates/", views.rates, name="phone-rates"),
    path("phone/<slug:slug>/tests/", views.tests, name="phone-tests"),
    path("phone/<slug:slug>/unsent/", views.unsent, name="phone-unsent"),
]
