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
PAGE: dict[str, str] = {}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
