from django.contrib.auth.views import LogoutView
from django.urls import include, path

from yardwright.web import kept, views

urlpatterns = [
    path("", views.morning_sheet, name="morning-sheet"),
    path("morning-sheet.pdf", views.morning_sheet_paper, name="morning-sheet-paper"),
    path("rows/", views.row_map, name="row-map"),
    path("row-map.pdf", views.row_map_paper, name="row-map-paper"),
    path("sign-in/", kept.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("", include("yardwright.yard.urls")),
    path("", include("yardwright.fleet.urls")),
    path("", include("yardwright.work.urls")),
    path("", include("yardwright.launch.urls")),
    path("boats/<str:tag>/", views.boat, name="boat"),  # after the slices' own words under boats/
    path("boats/<str:tag>/boat.pdf", views.boat_paper, name="boat-paper"),
]
