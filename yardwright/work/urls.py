from django.urls import path

from yardwright.work.views import (
    left_undone,
    looks,
    notes,
    own_steps,
    readings,
    record,
    several,
    steps,
)

urlpatterns = [
    path("left-undone/", left_undone.left_undone, name="left-undone"),
    path("undone/<uuid:pk>/", left_undone.undone, name="undone"),
    path("boats/<str:tag>/left-undone/", left_undone.boat_left_undone, name="boat-left-undone"),
    path(
        "boats/<str:tag>/left-undone.pdf",
        left_undone.boat_left_undone_paper,
        name="boat-left-undone-paper",
    ),
    path("boats/<str:tag>/found/", left_undone.found, name="found"),
    path("boats/<str:tag>/steps/", steps.steps, name="steps"),
    path("boats/<str:tag>/steps/<slug:code>/", steps.step, name="step"),
    path("steps/", own_steps.own_book, name="own-book"),
    path("steps/<slug:code>/", own_steps.own_step, name="own-step"),
    path("steps/<slug:code>/change/", own_steps.change_step, name="change-step"),
    path("steps/<slug:code>/copy/", own_steps.copy_step, name="copy-step"),
    path("steps/<slug:code>/leave-out/", own_steps.take_out_step, name="take-out-step"),
    path("steps/<slug:code>/boats/", several.step_on_several, name="step-on-several"),
    path("boats/<str:tag>/work-done/", steps.work_done, name="work-done"),
    path("boats/<str:tag>/readings/", readings.readings, name="readings"),
    path("boats/<str:tag>/readings/new/", readings.new_reading, name="new-reading"),
    path("readings/<uuid:pk>/", readings.reading, name="reading"),
    path("limits/new/", readings.new_limit, name="new-limit"),
    path("boats/<str:tag>/look/", looks.look, name="look"),
    path("boats/<str:tag>/since/", looks.since, name="since"),
    path("boats/<str:tag>/note/", notes.note, name="note"),
    path("boats/<str:tag>/record/", record.record, name="record"),
    path("facts/<uuid:pk>/", record.fact, name="fact"),
]
