"""The class laid out: frozen, exact, on one clock. Everything that is written comes from here."""
