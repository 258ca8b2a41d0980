from django.urls import path

from yardwright.fleet import views

urlpatterns = [
    path("boats/new/", views.new_boat, name="new-boat"),
    path("boats/import/", views.import_boats, name="import-boats"),
    path("boats/import/boats.csv", views.template, name="sheet-template"),
    path("boats/import/<uuid:uuid>/", views.look_at_sheet, name="look-at-sheet"),
    path("boats/import/<uuid:uuid>/rows-to-mend.csv", views.bad_rows, name="bad-rows"),
    path("boats/import/<uuid:uuid>/bring-in/", views.bring_in, name="bring-in"),
    path("boats/import/<uuid:uuid>/take-back/", views.take_back, name="take-back"),
    path("boats/<str:tag>/edit/", views.edit_boat, name="edit-boat"),
]
