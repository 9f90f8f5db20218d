"""English."""

# Said in the class, and shown on its pictures.
SAID = {
    "left": "left",
    "right": "right",
    "next_call": "Next, {next}.",
    "last_call": "Last {seconds} seconds.",
    "opening": "Opening",
    "preview": "Coming up",
    "work": "Work",
    "rest": "Rest",
    "closing": "Closing",
    "next": "Next",
    "round": "Round",
    "rounds": "rounds",
    "of": "of",
    "easier": "Easier",
    "needed": "You need",
    "caution": (
        "Stop if you feel pain, dizziness, chest discomfort or unusual breathlessness, and get "
        "medical help if it does not pass. If you are pregnant, injured, unwell or new to exercise,"
        " ask a doctor or a qualified instructor before you begin. Keep the floor clear and choose "
        "the easier version when in doubt."
    ),
    "leader": "Leader",
}
# Printed on the shot list and the script.
PAPER = {
    "heading": "Shot list",
    "timecode": "Timecode, length",
    "what": "What",
    "side": "Side",
    "position": "Position, camera",
    "equipment": "Equipment",
    "first_cue": "First cue",
    "filmed": "Filmed",
}
# Shown on the rehearsal page.
PAGE: dict[str, str] = {}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
