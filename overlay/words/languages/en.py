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
PAGE = {
    "rehearsal": "Rehearsal",
    "play": "Play",
    "pause": "Pause",
    "segment_start": "Back to the start",
    "segment_next": "Next",
    "repeat_block": "Repeat this block",
    "speed": "Speed",
    "controls": "Playing the class",
    "arrangement": "How the page is read",
    "up_close": "Up close",
    "from_afar": "From afar",
    "dark": "Dark",
    "whole_class": "The whole class",
    "seconds_left": "Seconds left",
    "say_now": "Say now",
    "say_then": "Say after that",
    "in_time": "in {time}",
    "seconds": "{seconds} s",
    "takes": "takes {time}",
    "setup": "Setting up",
    "watch": "Watch for",
    "harder": "Harder",
    "body_position": "Position",
    "camera_view": "Camera",
    "to_mend": "To mend",
    "remark": "Remark",
    "plan_line": "line {line} of the plan",
    "over": "The class is over.",
    "silent": "This browser gives no sound: the class plays without beeps.",
    "keys": (
        "Keys: the space bar plays and pauses, the left arrow goes back to the start of a segment, "
        "the right arrow to the next one."
    ),
    "needs_script": "This page plays the class with JavaScript, which is switched off in this browser.",
}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
