from django.urls import path

from yardwright.launch import views

urlpatterns = [
    path("spring/", views.spring, name="spring"),
    path("spring/job/", views.spring_job, name="spring-job"),
    path("spring/capacity/", views.capacity, name="capacity"),
    path("spring/capacity/job/", views.capacity_job, name="capacity-job"),
    path("spring/promises-kept/", views.promises_kept, name="promises-kept"),
    path("water/", views.water_strip, name="water-strip"),
    path("boats/<str:tag>/going-in/", views.going_in, name="going-in"),
    path("boats/<str:tag>/ink/", views.ink, name="ink"),
    path("boats/<str:tag>/told/", views.told_owner, name="told-owner"),
    path("boats/<str:tag>/move/", views.move, name="move"),
    path("boats/<str:tag>/lift-card.pdf", views.lift_card, name="lift-card"),
]
