"""A real browser in the tests: windows in which somebody is signed in, and what axe finds."""

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client


def window_of(browser, live_server, person, **more):
    """A window of the browser in which this person is signed in."""
    client = Client()
    client.force_login(person, "shop.services.access.RoleBackend")
    key = client.cookies[settings.SESSION_COOKIE_NAME].value
    window = browser.new_context(base_url=live_server.url, **more)
    window.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": key, "url": live_server.url}]
    )
    return window


def faults_of(page):
    """What axe-core finds wrong, in a line each."""
    return [
        f"{fault['id']}: {[node['target'] for node in fault['nodes']]}"
        for fault in Axe().run(page).response["violations"]
    ]


def excess_of(page, width):
    """By how many pixels the page is wider than a window of this width."""
    page.set_viewport_size({"width": width, "height": 800})
    return page.evaluate("document.documentElement.scrollWidth - innerWidth")
