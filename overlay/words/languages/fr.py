"""French."""

# Said in the class, and shown on its pictures.
SAID = {
    "left": "gauche",
    "right": "droite",
    "next_call": "Ensuite : {next}.",
    "last_call": "Plus que {seconds} secondes.",
    "opening": "Ouverture",
    "preview": "À venir",
    "work": "Effort",
    "rest": "Repos",
    "closing": "Fin",
    "next": "Ensuite",
    "round": "Tour",
    "rounds": "tours",
    "of": "sur",
    "easier": "Plus facile",
    "needed": "Il vous faut",
    "caution": (
        "Arrêtez en cas de douleur, de vertige, de gêne dans la poitrine ou d’essoufflement "
        "inhabituel, et consultez si cela ne passe pas. Si vous êtes enceinte, blessé, souffrant ou"
        " débutant, demandez l’avis d’un médecin ou d’un instructeur qualifié avant de commencer. "
        "Dégagez le sol et, dans le doute, choisissez la version plus facile."
    ),
    "leader": "Amorce",
}
# Printed on the shot list and the script.
PAPER = {
    "heading": "Liste des plans",
    "timecode": "Timecode, durée",
    "what": "Quoi",
    "side": "Côté",
    "position": "Position, caméra",
    "equipment": "Matériel",
    "first_cue": "Première phrase",
    "filmed": "Filmé",
}
# Shown on the rehearsal page.
PAGE = {
    "rehearsal": "Répétition",
    "play": "Lancer",
    "pause": "Pause",
    "segment_start": "Revenir au début",
    "segment_next": "Suivant",
    "repeat_block": "Répéter ce bloc",
    "speed": "Vitesse",
    "controls": "Lecture du cours",
    "arrangement": "Comment lire la page",
    "up_close": "De près",
    "from_afar": "De loin",
    "dark": "Sombre",
    "whole_class": "Tout le cours",
    "seconds_left": "Secondes restantes",
    "say_now": "À dire maintenant",
    "say_then": "À dire ensuite",
    "in_time": "dans {time}",
    "seconds": "{seconds} s",
    "takes": "dure {time}",
    "setup": "Mise en place",
    "watch": "À surveiller",
    "harder": "Plus difficile",
    "body_position": "Position",
    "camera_view": "Caméra",
    "to_mend": "À corriger",
    "remark": "Remarque",
    "plan_line": "ligne {line} du plan",
    "over": "Le cours est terminé.",
    "silent": "Ce navigateur ne donne pas de son : le cours se déroule sans bips.",
    "keys": (
        "Touches : la barre d’espace lance et met en pause, la flèche gauche revient au début du passage, "
        "la droite va au suivant."
    ),
    "needs_script": "Cette page déroule le cours avec JavaScript, qui est désactivé dans ce navigateur.",
}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
