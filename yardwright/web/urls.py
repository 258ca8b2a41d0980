from django.contrib.auth.views import LogoutView
from django.urls import include, path

from yardwright.web import (
    exchange_views,
    facts,
    find,
    fittings,
    kept,
    kept_aside,
    phone,
    phones,
    sums,
    views,
    ways_in,
)

urlpatterns = [
    path("", views.morning_sheet, name="morning-sheet"),
    path("morning-sheet.pdf", views.morning_sheet_paper, name="morning-sheet-paper"),
    path("rows/", views.row_map, name="row-map"),
    path("row-map.pdf", views.row_map_paper, name="row-map-paper"),
    path("boats/", find.find_boat, name="find-boat"),
    path("boats/<str:tag>/ways-in/", ways_in.ways_in, name="ways-in"),
    path("boats/<str:tag>/ways-in/new/", ways_in.way_in, name="new-way-in"),
    path("boats/<str:tag>/ways-in/<int:pk>/", ways_in.way_in, name="way-in"),
    path("boats/<str:tag>/ways-in/<int:pk>/remove/", ways_in.remove_way_in, name="remove-way-in"),
    path("boats/<str:tag>/fittings/", fittings.her_fittings, name="fittings"),
    path("boats/<str:tag>/fittings/<slug:fitting>/", fittings.her_fitting, name="fitting"),
    path("boats/<str:tag>/fittings/<slug:fitting>/not/", fittings.no_fitting, name="no-fitting"),
    path("yard/season-file/", exchange_views.season_file, name="season-file"),
    path("yard/season-file/season.toml", exchange_views.season_file_out, name="season-file-out"),
    path("yard/phones/", phones.phones, name="phones"),
    path("phone/entries/", phone.entries, name="entries"),
    path("kept-aside/", kept_aside.kept_aside, name="kept-aside"),
    path("kept-aside/<uuid:pk>/", kept_aside.decide, name="decide-aside"),
    path("sign-in/", kept.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("", include("yardwright.yard.urls")),
    path("", include("yardwright.fleet.urls")),
    path("", include("yardwright.work.urls")),
    path("", include("yardwright.launch.urls")),
    path("sums/", sums.all_sums, name="sums"),
    path("sums/<slug:name>/", sums.a_sum, name="sum"),
    path("sums/<slug:name>/paper.pdf", sums.sum_paper, name="sum-paper"),
    path("facts/", facts.topics, name="facts"),
    path("facts/limits/", facts.limits, name="filed-limits"),
    path("facts/<slug:topic>/", facts.topic, name="facts-of"),  # after the slices' facts/<uuid>/
    path("facts/<slug:topic>/paper.pdf", facts.topic_paper, name="facts-paper"),
    path("boats/<str:tag>/", views.boat, name="boat"),  # after the slices' own words under boats/
    path("boats/<str:tag>/boat.pdf", views.boat_paper, name="boat-paper"),
]
