"""Cars, their files, and the examples."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query, Request, Response
from fastapi.concurrency import run_in_threadpool
from pydantic import Base64Bytes, Field

from voltwright.services.views import Answers, Attachment, BuildRow, Car, CarFile, CarsPage, QuestionView, TakenIn
from voltwright.web.api.asked import Body, Id, Shop, Units, Who, file_of, router_of

router = router_of("cars")


class NewCar(Body):
    """A car that comes in."""

    name: str = Field(examples=["Blue coupé of 1968"])
    customer: str = ""


class CarChange(Body):
    """What is left out stays."""

    name: str | None = None
    customer: str | None = None
    away: bool | None = None


class FromExample(Body):
    """How the new car is called; left empty, as the example is."""

    name: str = ""
    customer: str = ""


class FiveAnswers(Body):
    """What a car begins with, quantities in any unit; and how the car is called: left empty, by its title."""

    donor: str = Field(examples=["Two-door saloon of 1966"])
    year: str | int = Field(examples=[1966])
    body: str = Field(examples=["saloon"])
    length: str = Field(examples=["13'2\""])
    wheelbase: str = Field(examples=["93 in"])
    mass_kerb: str = Field(examples=["1900 lb"])
    range: str = Field(examples=["100 km"])
    cruise_speed: str = Field(examples=["62 mph"])
    seats: str | int = Field(examples=[4])
    keep_gearbox: bool
    motor: str = Field(examples=["motor/pm-90kw-350v"])
    module: str = Field(examples=["module/nmc-12s-50ah"])
    modules: str | int = Field(examples=[12])
    title: str = Field(examples=["Saloon for the lighthouse"])
    country: str = Field(examples=["IE"])
    currency: str = Field(examples=["EUR"])
    name: str = ""
    customer: str = ""

    def answers(self) -> Answers:
        typed = self.model_dump(exclude={"name", "customer", "keep_gearbox"})
        return Answers(**{each: str(value) for each, value in typed.items()}, keep_gearbox=self.keep_gearbox)


class Sent(Body):
    """A file by its path in the folder, its content in base 64."""

    path: str = Field(examples=["car/build.yaml"])
    content: Base64Bytes = Field(examples=["dm9sdHdyaWdodDogMQo="])


class Folder(Body):
    """Files, and how the car is called where there is one; left empty, as its folder or its title says."""

    files: list[Sent]
    name: str = ""
    customer: str = ""


@router.get("/cars")
def list_cars(shop: Shop, who: Who, away: bool = False) -> tuple[Car, ...]:
    """The cars, those first that were edited last; or those that were put away."""
    return shop.cars.list(who, away=away)


@router.get("/garage")
def browse_cars(
    shop: Shop,
    who: Who,
    search: Annotated[str, Query(max_length=400)] = "",
    away: bool = False,
    page: Annotated[int, Query(ge=1, le=10**9)] = 1,
) -> CarsPage:
    """One page of the list of cars with their builds, of all or of those with some words in their names."""
    return shop.cars.browse(who, search=search, away=away, page=page)


@router.post("/cars", status_code=201)
def start_car(shop: Shop, who: Who, body: NewCar) -> Car:
    """A new car without a build."""
    return shop.cars.start(who, body.name, customer=body.customer)


@router.get("/cars/{car}")
def open_car(shop: Shop, who: Who, car: Id) -> CarFile:
    """A car with its builds, revisions and files."""
    return shop.cars.open(who, car)


@router.patch("/cars/{car}")
def change_car(shop: Shop, who: Who, car: Id, body: CarChange) -> Car:
    """Another name or customer; put away, or taken back."""
    return shop.cars.change(who, car, name=body.name, customer=body.customer, away=body.away)


@router.get("/examples")
def list_examples(shop: Shop, who: Who) -> dict[str, str]:
    """Name and title of each example that comes with Voltwright."""
    return shop.builds.examples(who)


@router.post("/examples/{name}", status_code=201)
def start_example(shop: Shop, who: Who, name: str, body: FromExample) -> BuildRow:
    """A new car with the build of an example."""
    return shop.builds.start_example(who, name, car_name=body.name, customer=body.customer)


@router.get("/questions")
def list_questions(shop: Shop, who: Who, units: Units = "metric") -> tuple[QuestionView, ...]:
    """What is asked of a car that begins with five answers: labels, what is allowed, and choices."""
    return shop.builds.questions(who, system=units)


@router.post("/answers", status_code=201)
def begin_build(shop: Shop, who: Who, body: FiveAnswers) -> BuildRow:
    """A new car with a build made of five answers; everything else is assumed. Every wrong answer is told at once."""
    return shop.builds.begin(who, body.answers(), name=body.name, customer=body.customer)


@router.post("/folders", status_code=201)
def take_in(shop: Shop, who: Who, body: Folder) -> TakenIn:
    """New cars from files: a build file, with what it names or not, or a folder as an export writes it."""
    return shop.builds.take_in(
        who, {each.path: each.content for each in body.files}, name=body.name, customer=body.customer
    )


@router.get("/cars/{car}/files")
def list_files(shop: Shop, who: Who, car: Id) -> tuple[Attachment, ...]:
    """The files of a car, oldest first."""
    return shop.attachments.list(who, car)


@router.post(
    "/cars/{car}/files",
    status_code=201,
    openapi_extra={"requestBody": {"required": True, "content": {"application/octet-stream": {
        "schema": {"type": "string", "format": "binary"}}}}},
)  # fmt: skip
async def add_file(
    shop: Shop,
    who: Who,
    car: Id,
    request: Request,
    name: Annotated[str, Query(description="The plain name of the file, such as weighbridge-front.jpg.")],
    note: str = "",
) -> Attachment:
    """Keep a file of a car; the body is the file itself."""
    content = await request.body()
    return await run_in_threadpool(shop.attachments.add, who, car, name, content, note=note)


@router.get("/cars/{car}/files/{attachment}", response_class=Response)
def read_file(shop: Shop, who: Who, car: Id, attachment: Id) -> Response:
    """A file of a car, to be stored by the browser and not opened."""
    return file_of(shop.attachments.read(who, car, attachment))
