from django.contrib.auth.views import LogoutView
from django.urls import include, path

from yardwright.web import kept, views

urlpatterns = [
    path("", views.morning_sheet, name="morning-sheet"),
    path("rows/", views.row_map, name="row-map"),
    path("boats/<str:tag>/", views.boat, name="boat"),
    path("sign-in/", kept.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("", include("yardwright.yard.urls")),
    path("", include("yardwright.fleet.urls")),
    path("", include("yardwright.work.urls")),
    path("", include("yardwright.launch.urls")),
]
