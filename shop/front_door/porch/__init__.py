"""The porch: callers wait here until they have said what they want, so that nobody keeps those who serve waiting.

One process and one loop read every connection as far as it has come, over http and https; a request goes to one of the
threads that answer once it is there to its last byte, and an answer goes out as fast as its reader takes it, from here
again. So a caller that is silent, or sends a byte a second, or reads so, holds a socket and no thread. How long each may
take stands in `limits.py`; who has more connections open than a browser needs loses the oldest of them.

Waitress does the reading and the threads, because it is built that way; TLS, the limits, the question whether a caller may
send more than a form, and the log of requests are ours. Gunicorn's threads read from slow callers themselves: eight of those
shut the shop. Granian hands a request on before its body is there, Hypercorn keeps bodies in memory.
"""

from __future__ import annotations
