from django.urls import path

from yardwright.yard import views

urlpatterns = [
    path("sign-in/password/", views.own_password, name="own-password"),
    path("yard/", views.yard, name="yard"),
    path("yard/settings/", views.settings, name="yard-settings"),
    path("yard/looks/", views.looks, name="yard-looks"),
    path("yard/water/", views.water, name="yard-water"),
    path("yard/lifts/new/", views.lift, name="new-lift"),
    path("yard/lifts/<int:pk>/", views.lift, name="lift"),
    path("yard/places/new/", views.place, name="new-place"),
    path("yard/places/<int:pk>/", views.place, name="place"),
    path("yard/instruments/new/", views.instrument, name="new-instrument"),
    path("yard/instruments/<int:pk>/", views.instrument, name="instrument"),
    path("yard/people/", views.people, name="people"),
    path("yard/people/new/", views.person, name="new-person"),
    path("yard/people/<int:pk>/", views.person, name="person"),
]
