"""A browser window of WebKitGTK that keeps what it is given; WebKitWebDriver starts and drives it.

Run by the Python that Debian's bindings are for. The driver's own small browser forgets everything
when it ends, so it can't show that a book outlives a killed browser.
"""

import sys
from typing import Any

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402  (the versions have to be chosen first)


def main(folder: str) -> None:
    data = WebKit2.WebsiteDataManager(
        base_data_directory=f"{folder}/data", base_cache_directory=f"{folder}/cache"
    )
    context = WebKit2.WebContext(website_data_manager=data)
    context.set_automation_allowed(True)

    def window(_session: Any) -> Any:
        view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
        made = Gtk.Window()
        made.set_default_size(360, 800)
        made.add(view)
        made.show_all()
        return view

    context.connect(
        "automation-started", lambda _, session: session.connect("create-web-view", window)
    )
    Gtk.main()


main(sys.argv[1])
