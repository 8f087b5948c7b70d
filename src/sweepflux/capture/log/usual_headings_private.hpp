#pragma once

#include <array>

namespace sweepflux {

/// What loggers call their columns, in lower case where the letters are ASCII. Common practice, no
/// published source. A speed or force in another language is found by its unit; else an option
/// names the column.
inline constexpr std::array usual_times = {"time",
                                    "timestamp",
                                    "t",
                                    "clock",
                                    "date time",
                                    "datetime",
                                    "zeit",
                                    "zeitstempel",
                                    "uhrzeit",
                                    "temps",
                                    "heure",
                                    "tiempo",
                                    "hora",
                                    "tempo",
                                    "ora",
                                    "tijd",
                                    "horodatage",
                                    "tid",
                                    "czas"};
inline constexpr std::array usual_angles = {"angle",
                                     "swivel",
                                     "swivel angle",
                                     "winkel",
                                     "ángulo",
                                     "Ángulo",
                                     "angulo",
                                     "ângulo",
                                     "Ângulo",
                                     "angolo",
                                     "hoek",
                                     "vinkel",
                                     "kąt"};
inline constexpr std::array usual_acrosses = {"across", "y"};
inline constexpr std::array usual_speeds = {"speed",
                                     "velocity",
                                     "wind speed",
                                     "air speed",
                                     "geschwindigkeit",
                                     "vitesse",
                                     "velocidad",
                                     "velocidade",
                                     "velocita",
                                     "velocità",
                                     "snelheid",
                                     "air velocity",
                                     "vitesse de l'air",
                                     "hastighet",
                                     "prędkość"};
inline constexpr std::array usual_forces = {"reading",
                                     "force",
                                     "weight",
                                     "mass",
                                     "scale",
                                     "balance",
                                     "kraft",
                                     "gewicht",
                                     "poids",
                                     "peso",
                                     "masse",
                                     "thrust",
                                     "schub",
                                     "poussée",
                                     "empuje",
                                     "spinta",
                                     "stuwkracht"};
inline constexpr std::array usual_labels = {"label",
                                     "setting",
                                     "fan",
                                     "state",
                                     "fan speed",
                                     "level",
                                     "stufe",
                                     "einstellung",
                                     "zustand",
                                     "réglage",
                                     "état",
                                     "nivel",
                                     "estado",
                                     "livello",
                                     "stato",
                                     "stand"};
inline constexpr std::array usual_units = {"unit", "einheit", "unité", "unidad", "unità", "eenheid"};

}  // namespace sweepflux
