from django.urls import path

from yardwright.school.views import classes, questions, rounds

urlpatterns = [
    path("school/", classes.school, name="school"),
    path("school/classes/new/", classes.new_class, name="new-class"),
    path("school/classes/<int:pk>/", classes.class_, name="class"),
    path("school/classes/<int:pk>.pdf", classes.class_paper, name="class-paper"),
    path("school/classes/<int:pk>/call-off/", classes.call_off, name="call-off"),
    path("school/boats/new/", classes.new_practice_boat, name="new-practice-boat"),
    path("school/boats/<int:pk>/plant/", rounds.plant, name="plant"),
    path("school/rounds/<uuid:pk>/", rounds.round_, name="round"),
    path("school/rounds/<uuid:pk>.pdf", rounds.round_paper, name="round-paper"),
    path("school/questions/", questions.questions, name="questions"),
    path("school/questions.pdf", questions.questions_paper, name="questions-paper"),
]
