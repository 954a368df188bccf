"""Makes the pictures of README anew from the demo: .venv/bin/python deploy/pictures.py

Needs the test libraries, Debian's chromium and pdftoppm (poppler-utils).
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import timedelta
from io import BytesIO
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "deploy" / "pictures"
CHROMIUM = "/usr/bin/chromium"
WINDOW = {"width": 1280, "height": 860}
COLOURS = 160
MOST_BYTES = 150_000


def main() -> None:
    """Tell the demo in a folder of its own, serve it, and look at it."""
    sys.path.insert(0, str(ROOT))
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(
            DJANGO_SETTINGS_MODULE="shop.settings",
            TRENAIL_DATA=folder,
            TRENAIL_HTTPS="no",
            TRENAIL_SWEEP="3600",
            TRENAIL_PLANNING_SECONDS="4",
            DJANGO_ALLOW_ASYNC_UNSAFE="true",
        )
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        call_command("demo")
        take_all(Path(folder))


def take_all(folder: Path) -> None:
    """Every picture, each as somebody who works with that page."""
    from playwright.sync_api import sync_playwright

    from costing.management.try_out.served import Served, a_free_port

    PICTURES.mkdir(exist_ok=True)
    with Served(a_free_port(), folder / "serve.log") as served, sync_playwright() as playwright:
        served.wait_until_ready()
        browser = playwright.chromium.launch(executable_path=CHROMIUM)
        for name, email, path, prepare in scenes():
            page = browser.new_page(base_url=served.address, viewport=WINDOW)
            sign_in(page, email)
            if path.endswith(".pdf"):
                keep(name, first_page(page.request.get(path).body()))
            else:
                page.goto(path, wait_until="networkidle")
                prepare(page)
                keep(name, page.screenshot())
            page.close()
        browser.close()


def scenes() -> Iterator[tuple[str, str, str, Callable[[object], None]]]:
    """The name of each picture, who looks, at what, and what they do first."""
    from django.urls import reverse

    from costing.management.demo.people import sign_ins
    from orders.models import Assembly, Commission, Joint

    email = {role.value: address for role, address in sign_ins()}
    doors = Commission.objects.get(title__startswith="Frame-and-panel doors")
    door = Assembly.objects.get(commission=doors, parent=None)
    corner = Joint.objects.filter(assembly=door, type="haunched-mortise-tenon").earliest("pk")
    yield "commission", email["estimator"], reverse("joint", args=[corner.pk]), at_once
    yield "estimate", email["estimator"], reverse("estimate", args=[doors.pk]), at_once
    yield "wall-chart", email["foreman"], reverse("wall-chart") + "?on=" + today_is(), at_once
    yield "move", email["foreman"], reverse("wall-chart") + "?by=hand&on=" + a_week_ahead(), pick_up
    yield "scenarios", email["foreman"], reverse("scenarios"), plan_them
    yield "bench", email["hand"], reverse("bench"), at_once
    yield "labour", email["owner"], reverse("labour"), at_once
    yield "job-sheet", email["foreman"], reverse("job-sheet", args=[door.pk]), at_once


def at_once(page: object) -> None:
    """Nothing is done first."""


def today_is() -> str:
    """Today, in the week of which most is done; by itself the chart opens on what comes."""
    from django.utils import timezone

    return f"{timezone.localdate():%Y-%m-%d}"


def a_week_ahead() -> str:
    """The Monday from which the plan reaches on."""
    from django.utils import timezone

    today = timezone.localdate()
    return f"{today + timedelta(days=7 - today.weekday()):%Y-%m-%d}"


def pick_up(page: object) -> None:
    """Pick an operation up, move it by half a day and look what comes of it."""
    bar = page.locator("a.move").nth(2)
    bar.focus()
    for key in ("Space", *["ArrowRight"] * 8, "Enter"):
        page.keyboard.press(key)
    page.wait_for_selector(".comes, [data-consequence] .strong")


def plan_them(page: object) -> None:
    """Plan all scenarios and wait for them."""
    page.click("button:text-is('Plan the scenarios')")
    page.wait_for_selector("button:text-is('Stop planning')")
    page.wait_for_selector("button:text-is('Plan the scenarios')", timeout=180_000)


def sign_in(page: object, email: str) -> None:
    """Sign somebody of the demo in."""
    from costing.management.demo.people import PASSWORD

    page.goto("/sign-in/")
    page.fill("[name=username]", email)
    page.fill("[name=password]", PASSWORD)
    with page.expect_navigation():
        page.click("button.first")


def first_page(paper: bytes) -> bytes:
    """The first page of a PDF as a picture."""
    command = ["pdftoppm", "-r", "100", "-f", "1", "-l", "1", "-png", "-"]
    return subprocess.run(command, input=paper, capture_output=True, check=True).stdout


def keep(name: str, picture: bytes) -> None:
    """Store a picture with few colours, so that it stays small."""
    file = PICTURES / f"{name}.png"
    few = Image.open(BytesIO(picture)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(file, optimize=True)
    size = file.stat().st_size
    print(f"{file.relative_to(ROOT)}: {size // 1000} kB")
    if size > MOST_BYTES:
        raise SystemExit(f"{name} is larger than {MOST_BYTES // 1000} kB.")


if __name__ == "__main__":
    main()
