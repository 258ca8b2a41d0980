from django.urls import path

from yardwright.launch.views import again, answer, capacity, going_in, savers, spring, told, water

urlpatterns = [
    path("spring/", spring.spring, name="spring"),
    path("spring/job/", spring.spring_job, name="spring-job"),
    path("spring.pdf", spring.spring_paper, name="spring-paper"),
    path("spring/calls.pdf", spring.calls_paper, name="calls-paper"),
    path("spring/again/", again.again, name="again"),
    path("spring/again.pdf", again.again_paper, name="again-paper"),
    path("spring/again/job/", again.again_job, name="again-job"),
    path("spring/again/tell/<slug:what>/", again.tell, name="tell"),
    path("spring/capacity/", capacity.capacity, name="capacity"),
    path("spring/capacity.pdf", capacity.capacity_paper, name="capacity-paper"),
    path("spring/capacity/job/", capacity.capacity_job, name="capacity-job"),
    path("spring/savers/", savers.savers, name="savers"),
    path("spring/savers.pdf", savers.savers_paper, name="savers-paper"),
    path("spring/savers/job/", savers.savers_job, name="savers-job"),
    path("spring/promises-kept/", told.promises_kept, name="promises-kept"),
    path("spring/promises-kept.pdf", told.promises_kept_paper, name="promises-kept-paper"),
    path("water/", water.water_strip, name="water-strip"),
    path("water.pdf", water.water_paper, name="water-paper"),
    path("boats/<str:tag>/going-in/", going_in.going_in, name="going-in"),
    path("boats/<str:tag>/ink/", spring.ink, name="ink"),
    path("boats/<str:tag>/answer/", answer.answer, name="answer"),
    path("boats/<str:tag>/answer/job/", answer.answer_job, name="answer-job"),
    path("boats/<str:tag>/told/", told.told_owner, name="told-owner"),
    path("boats/<str:tag>/called/", told.called, name="called"),
    path("boats/<str:tag>/move/", going_in.move, name="move"),
    path("boats/<str:tag>/lift-card.pdf", going_in.lift_card, name="lift-card"),
]
