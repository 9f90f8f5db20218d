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
# Printed on the shot list, the script and the picture of the class.
PAPER = {
    "heading": "Shot list",
    "playing_order": "In playing order",
    "filming_order": "In filming order",
    "number": "No.",
    "timecode": "Length, timecode",
    "what": "What",
    "setup": "Position, camera, floor",
    "equipment": "On the floor",
    "filmed": "Filmed",
    "keep": "Keep",
    "notes": "Notes",
    "date": "Date",
    "length": "Length",
    "picture": "Picture",
    "sound": "Beeps",
    "sound_settings": "{sample_rate} kHz, 24 bit, stereo, {loudness} LUFS, peaks at most {ceiling} dBTP",
    "work_a_side": "Work a side",
    "no_side": "both",
    "shots": "Shots",
    "shots_and_inserts": "{shots} + {inserts} inserts",
    "setups": "Set-ups",
    "setups_saved": "{filming} in filming order, {playing} in playing order: {saved} saved",
    "setup_number": "Set-up {number}",
    "as_it_stands": "Camera and position as they are",
    "lay_out": "To lay out",
    "nothing": "Nothing",
    "insert": "Preview insert",
    "handles": "handles {handles}",
    "page_of": "Page {page} of {pages}",
    "frame_rate": "{rate} fps",
    "drop_frame": "drop-frame",
    "non_drop": "non-drop",
    "script": "Script",
    "seconds_left": "Seconds left",
    "beeps": "Beeps",
    "to_say": "What to say",
    "budget": "words: {needs} of {has} s",
    "words_over": "words too many: about {count}",
    "changed": "new this round",
    "harder": "Harder",
    "watch": "Watch",
    "beep_pop": "sync pop",
    "beep_ready": "get ready",
    "beep_start": "start",
    "beep_change": "change",
    "beep_stop": "stop",
    "beep_half": "half-time",
    "beep_last": "nearly there",
    "beep_finish": "end of the class",
    "timeline": "The class as a picture",
    "hands": "Hands loaded",
    "sides": "Side",
    "speech": "Speech",
    "full": "full",
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
    "to_go": "Seconds left",
    "say_now": "Say now",
    "say_then": "Say after that",
    "in_time": "in {time}",
    "seconds": "{seconds} s",
    "takes": "takes {time}",
    "setting_up": "Setting up",
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
NOTES = {
    "description_class": "A follow-along class of {length}: {blocks} blocks, {work} of work.",
    "description_class_one": "A follow-along class of {length}: one block, {work} of work.",
    "description_needs": "You need: {equipment}.",
    "description_needs_nothing": "You need nothing but some room.",
    "notes_head": "{title}: notes for the edit",
    "notes_place": (
        "WHERE EVERYTHING GOES\nMake a timeline of {picture}. Put the footage on it so that the class begins at "
        "{zero}. Then put pictures, beeps and captions on it at {start}, each on a track of its own. Pictures and "
        "beeps are {frames} frames long, as the class is: nothing is nudged by ear."
    ),
    "notes_leader": (
        "A leader of {length} comes first: at {pop} a tone of one frame sounds and the pictures flash white for "
        "the same frame, two seconds before the class. Line up by it, and cut the leader off before you publish. "
        "chapters.txt and description.txt already count without it; everything else counts with it."
    ),
    "notes_no_leader": "There is no sync pop: the files begin with the class.",
    "notes_files": "WHAT EACH FILE IS",
    "notes_layers": "transparent layers over the footage, ProRes 4444 with straight alpha (not premultiplied)",
    "notes_movies": "layers as movies or stills, straight alpha",
    "notes_key": "layers for programs without alpha: key out the flat colour {color}",
    "notes_fill_and_matte": "layers for programs without alpha: the fill, and its matte as grey",
    "notes_stills": "titles and preview cards as stills, straight alpha too",
    "notes_tones": "the beeps, {settings}; leave the fader at 0 dB and set the voice beside them",
    "notes_captions": "what is said, one set a language: take .srt, or .vtt for the web, or .ttml for broadcasters",
    "notes_tracks": (
        "the whole class with its tracks and markers, for a program that reads OpenTimelineIO; an edit list a "
        "track for one that does not"
    ),
    "notes_chapters": (
        "the blocks as chapters: .vtt for a web player, .txt to paste under the video, .ffmetadata to put into the "
        "finished file with FFmpeg"
    ),
    "notes_description": "words for the page on which the class is published",
    "notes_paper": "shot list and script to print, and the class as a picture",
    "notes_trouble": (
        "IF A FILE WILL NOT COME IN\nThe .mov files point at the same pictures many times and are small for it. A "
        "program that cannot read them reads what this makes: overlay build PLAN --plain-mov"
    ),
    "notes_check": "CHECK THE RESULT\nWhen the cut is exported: overlay verify PLAN CUT",
}
