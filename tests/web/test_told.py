"""Telling in two touches, and a mail that is followed on its way, on the phone's screens."""

import pytest
from playwright.sync_api import BrowserContext, expect

from tests.server.receivers import mail_server, wait_until
from tests.web.hand import begun, press
from tests.web.office import Office, demo_pairs

pytestmark = pytest.mark.browser


def test_spoken_takes_two_touches_and_a_mail_is_followed(
    browser: BrowserContext, office: Office
) -> None:
    with mail_server() as box:
        office.kill()
        office.settings = {
            "MATBOOK_MAIL_URL": f"smtp://127.0.0.1:{box.port}",
            "MATBOOK_MAIL_FROM": "book@example.org",
            "MATBOOK_SEND_TO": "rika@example.org",
        }
        office.start()
        page = begun(browser, office)
        page.get_by_role("link", name="Load", exact=True).click()
        page.locator(".trucks button").nth(1).click()
        press(page, "2240")
        page.get_by_role("button", name="Next").click()
        press(page, "101")
        page.get_by_role("button", name="Take", exact=True).click()

        page.get_by_role("link", name="Tell Rika Sandorme").first.click()  # one
        page.get_by_role("button", name="spoken").click()  # two
        expect(page.get_by_text("Kept: Notice")).to_be_visible()
        spoken = office.fresh("harrow", len(demo_pairs()), 2)[-1]
        assert (spoken["kind"], spoken["body"]["how"]) == ("notice", "spoken")
        assert spoken["body"]["to"] == ["rika", "dale"]
        assert "Rika Sandorme: Please look into it at the plant" in spoken["body"]["text"]

        page.locator("a", has_text="101 °C").first.click()
        expect(page.get_by_text("after it was seen")).to_be_visible()
        page.get_by_role("link", name="again").click()
        expect(page.get_by_text("go out from the server")).to_be_visible()
        page.get_by_role("button", name="Mail", exact=True).click()
        wait_until(lambda: box.to == ["rika@example.org"])
        page.locator("a", has_text="101 °C").first.click()
        expect(page.get_by_text("Rika Sandorme: sent")).to_be_visible()
        expect(page.get_by_text("Dale Fennimoor: not sent")).to_contain_text("not on the list")
        expect(page.get_by_text("not that anybody read it")).to_be_visible()
