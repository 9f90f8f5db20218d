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
# Printed on the shot list, the script and the picture of the class.
PAPER = {
    "heading": "Liste des plans",
    "playing_order": "Dans l’ordre du cours",
    "filming_order": "Dans l’ordre de tournage",
    "number": "N°",
    "timecode": "Durée, timecode",
    "what": "Quoi",
    "setup": "Position, caméra, sol",
    "equipment": "Au sol",
    "filmed": "Tourné",
    "keep": "À garder",
    "notes": "Notes",
    "date": "Date",
    "length": "Durée",
    "picture": "Image",
    "sound": "Signaux sonores",
    "sound_settings": "{sample_rate} kHz, 24 bits, stéréo, {loudness} LUFS, crêtes à {ceiling} dBTP au plus",
    "work_a_side": "Travail par côté",
    "no_side": "les deux",
    "shots": "Plans",
    "shots_and_inserts": "{shots} + {inserts} inserts",
    "setups": "Installations",
    "setups_saved": "{filming} dans l’ordre de tournage, {playing} dans l’ordre du cours : {saved} de moins",
    "setup_number": "Installation {number}",
    "as_it_stands": "Caméra et position telles quelles",
    "lay_out": "À préparer",
    "nothing": "Rien",
    "insert": "Insert de l’aperçu",
    "handles": "poignées de {handles}",
    "page_of": "Page {page} sur {pages}",
    "frame_rate": "{rate} i/s",
    "drop_frame": "drop-frame",
    "non_drop": "non-drop",
    "script": "Texte à dire",
    "seconds_left": "Secondes restantes",
    "beeps": "Signaux",
    "to_say": "À dire",
    "budget": "paroles : {needs} sur {has} s",
    "words_over": "mots de trop : environ {count}",
    "changed": "nouveau à ce tour",
    "harder": "Plus dur",
    "watch": "Attention",
    "beep_pop": "bip de synchro",
    "beep_ready": "prêts",
    "beep_start": "départ",
    "beep_change": "on change",
    "beep_stop": "stop",
    "beep_half": "moitié",
    "beep_last": "bientôt fini",
    "beep_finish": "fin du cours",
    "timeline": "Le cours en image",
    "hands": "Mains chargées",
    "sides": "Côté",
    "speech": "Parole",
    "full": "plein",
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
    "to_go": "Secondes restantes",
    "say_now": "À dire maintenant",
    "say_then": "À dire ensuite",
    "in_time": "dans {time}",
    "seconds": "{seconds} s",
    "takes": "dure {time}",
    "setting_up": "Mise en place",
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
NOTES = {
    "description_class": "Un cours à suivre de {length} : {blocks} blocs, {work} de travail.",
    "description_class_one": "Un cours à suivre de {length} : un bloc, {work} de travail.",
    "description_needs": "Il vous faut : {equipment}.",
    "description_needs_nothing": "Il ne vous faut qu’un peu de place.",
    "notes_head": "{title} : notes pour le montage",
    "notes_place": (
        "OÙ VA CHAQUE FICHIER\nCréez une timeline de {picture}. Placez les rushes de sorte que le cours commence à "
        "{zero}. Placez ensuite calques, signaux et sous-titres à {start}, chacun sur sa propre piste. Calques et "
        "signaux durent {frames} images, comme le cours : rien à caler à l’oreille."
    ),
    "notes_leader": (
        "Une amorce de {length} vient d’abord : à {pop} un son d’une image retentit et les images passent au blanc "
        "sur cette même image, deux secondes avant le cours. Calez-vous dessus et coupez l’amorce avant de "
        "publier. chapters.txt et description.txt comptent déjà sans elle ; tout le reste compte avec elle."
    ),
    "notes_no_leader": "Il n’y a pas de bip de synchro : les fichiers commencent avec le cours.",
    "notes_files": "CE QU’EST CHAQUE FICHIER",
    "notes_layers": "calques transparents au-dessus des rushes, ProRes 4444 avec alpha droit (non prémultiplié)",
    "notes_movies": "calques en vidéo ou en images, alpha droit",
    "notes_key": "calques pour logiciels sans alpha : incruster en retirant l’aplat {color}",
    "notes_fill_and_matte": "calques pour logiciels sans alpha : le remplissage et son cache en gris",
    "notes_stills": "titres et aperçus en images fixes, alpha droit aussi",
    "notes_tones": "les signaux, {settings} ; laissez le fader à 0 dB et réglez la voix à côté",
    "notes_captions": (
        "ce qui est dit, un jeu par langue : prenez .srt, ou .vtt pour le web, ou .ttml pour les diffuseurs"
    ),
    "notes_tracks": (
        "tout le cours avec ses pistes et marqueurs, pour un logiciel qui lit OpenTimelineIO ; une liste de "
        "montage par piste pour un autre"
    ),
    "notes_chapters": (
        "les blocs en chapitres : .vtt pour un lecteur web, .txt à coller sous la vidéo, .ffmetadata pour le "
        "fichier final avec FFmpeg"
    ),
    "notes_description": "texte pour la page où le cours est publié",
    "notes_paper": "liste des plans et texte à imprimer, et le cours en image",
    "notes_trouble": (
        "SI UN FICHIER REFUSE D’ENTRER\nLes fichiers .mov renvoient souvent aux mêmes images et sont petits pour "
        "cela. Un logiciel qui ne les lit pas lira ce que fait ceci : overlay build PLAN --plain-mov"
    ),
    "notes_check": "VÉRIFIEZ LE RÉSULTAT\nQuand le montage est exporté : overlay verify PLAN MONTAGE",
}
