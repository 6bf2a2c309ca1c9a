"""`manage.py send_outbox`: sends the letters that are due. Have cron or a timer run it every few minutes."""

from __future__ import annotations

from django.core.management import CommandError

from shop.keeping import mail, outbox
from shop.management.command import ShopCommand


class Command(ShopCommand):
    """Send what waits in the outbox; what can't be sent stays there and is tried again later."""

    help = "Send the letters that wait in the outbox. Run it every few minutes; twice at once does no harm."
    # it must work on the worst of days, when a page does not
    requires_system_checks: list[str] = []

    def handle(self, *args: object, **options: object) -> None:
        if not mail.is_set_up():
            raise CommandError(
                "No mail server is named: set SHOP_MAIL_HOST. Letters wait in the outbox until then."
            )
        done = outbox.send_waiting()
        self.stdout.write(f"Sent {done.sent}, failed {done.failed}, still waiting {done.waiting}.")
        if done.failed:
            raise CommandError("Some letters could not be sent; the outbox says why.")
