"""The shop itself: profile, staff, number series, journal, pictures, issued papers, places, outbox."""
