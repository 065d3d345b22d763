/** Deutsch für Aufträge nach einem Ablauf. */
import type { jobsEn } from './jobs-en.ts';
import type { Like } from './like.ts';

export const jobsDe: Like<typeof jobsEn> = {
  actions: {
    confirm: 'hat einen Schritt bestätigt',
    enter: 'hat einen Wert eingetragen',
    'record-amount': 'hat eine Menge eingetragen',
    answer: 'hat eine Frage beantwortet',
    'skip-step': 'hat einen Schritt ausgelassen',
    'go-back': 'ist zu einem Schritt zurückgegangen',
    engine: 'hat gesagt, was der Motor tut',
    'pause-job': 'hat den Auftrag angehalten',
    'resume-job': 'hat den Auftrag fortgesetzt',
  },
  accepted: {
    confirm: 'Bestätigt.',
    enter: 'Wert festgehalten.',
    'record-amount': 'Menge festgehalten.',
    answer: 'Antwort festgehalten.',
    'skip-step': 'Schritt ausgelassen.',
    'go-back': 'Zurückgegangen.',
    engine: 'Zustand des Motors festgehalten.',
    'pause-job': 'Auftrag angehalten.',
    'resume-job': 'Der Auftrag geht weiter.',
  },
  refusals: {
    'no-procedure': 'Der offene Auftrag folgt keinem Ablauf.',
    'no-such-procedure': 'Einen Ablauf dieses Namens gibt es hier nicht.',
    'field-missing': 'Ein Feld, das der Ablauf verlangt, ist leer.',
    'other-step': 'Der Auftrag ist inzwischen bei einem anderen Schritt. Neu hinsehen.',
    'step-forbids': 'Danach fragt dieser Schritt nicht.',
    blocked: 'Diesem Schritt fehlt noch etwas.',
    'no-such-step': 'Einen solchen erledigten Schritt gibt es nicht.',
    'no-such-tick': 'Diesen Punkt hat die Liste des Schritts nicht.',
    'no-such-answer': 'Diese Antwort bietet der Schritt nicht an.',
    'no-such-entry': 'Einen solchen Eintrag gibt es nicht.',
    'no-such-measure': 'Dieses Messmittel bietet der Schritt nicht an.',
    'entries-missing': 'Ein Wert, den dieser Schritt verlangt, fehlt noch.',
    mismatch:
      'Es stimmt nicht mit dem Verlangten überein. Etikett noch einmal ansehen; ist es trotzdem richtig, den Grund angeben.',
    'reason-missing': 'Ein Grund gehört dazu.',
    'steps-left': 'Es sind noch Schritte offen. Erledigen, oder sagen, warum der Auftrag hier endet.',
    paused: 'Der Auftrag ist angehalten. Erst fortsetzen.',
    'not-paused': 'Der Auftrag ist nicht angehalten.',
    'engine-off': 'Der Motor steht: Nichts zählt, bis er wieder gelaufen ist.',
  },
};
