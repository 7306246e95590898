"""The HTTP API over the store: sync, views, attachments, records, accounts; and the app itself.

`app.web_app` assembles it. Nothing is imported here: a command line that doesn't serve stays fast.

Invariants:

1.  A request is let in by `guard` before a byte of its body is read: host, origin, token, rate.
2.  What a role may ask and be given is decided by `roles`, a table, and nowhere else.
3.  Every refusal has the one shape of `problems`: a code, and a sentence for a person.
4.  Nothing that is logged or counted holds a token, a code, a body or a query.
"""
