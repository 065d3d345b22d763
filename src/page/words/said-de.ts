/** German for what the bench says by code and figures. */
import { alarmsDe } from './alarms-de.ts';
import { jobsDe } from './jobs-de.ts';
import type { GateSaying, saidEn } from './said-en.ts';

const tooFew: GateSaying = { short: 'zu wenige Werte', long: () => 'Noch zu wenige Füllstandswerte.' };
const unheard: GateSaying = {
  short: 'nichts gehört',
  long: () => 'Vom Füllstandssensor kommt nichts, woran es zu erkennen wäre.',
};

export const saidDe: typeof saidEn = {
  gateNames: {
    fresh: 'Neue Werte kommen',
    record: 'Aufzeichnung läuft',
    window: 'Temperaturfenster',
    answers: 'Füllstandssensor hängt nicht',
    air: 'Oberfläche gut zu sehen',
    calm: 'Ruhige Oberfläche',
    settled: 'Füllstand zur Ruhe gekommen',
  },
  gateSays: {
    fresh: {
      fresh: { short: 'Werte kommen', long: () => 'Temperatur und Füllstand kommen an.' },
      'no-value-yet': { short: 'noch keine Werte', long: (f) => `Noch kein Wert von ${f.channel}.` },
      stale: { short: 'keine neuen Werte', long: (f) => `Seit ${f.value} kein neuer Wert von ${f.channel}.` },
    },
    record: {
      recording: { short: 'wird aufgezeichnet', long: () => 'Die Aufzeichnung läuft.' },
      'not-recording': {
        short: 'keine Aufzeichnung',
        long: () => 'Der Datenträger kommt nicht mit: Nichts wird behalten.',
      },
    },
    window: {
      'no-value-yet': { short: 'keine Temperatur', long: () => 'Noch keine Temperatur.' },
      inside: { short: 'im Fenster', long: (f) => `${f.value} liegt zwischen ${f.low} und ${f.high}.` },
      'too-cold': {
        short: 'zu kalt',
        long: (f) => `${f.value}: zu kalt für das Temperaturfenster von ${f.low} bis ${f.high}.`,
      },
      'too-hot': {
        short: 'zu heiß',
        long: (f) => `${f.value}: zu heiß für das Temperaturfenster von ${f.low} bis ${f.high}.`,
      },
      'stays-cold': {
        short: 'bleibt zu kalt',
        long: (f) =>
          `${f.value}: zu kalt für das Temperaturfenster von ${f.low} bis ${f.high}. So, wie es steht, wird es nicht warm genug.`,
      },
      'stays-hot': {
        short: 'bleibt zu heiß',
        long: (f) =>
          `${f.value}: zu heiß für das Temperaturfenster von ${f.low} bis ${f.high}. Es kühlt nicht bis dorthin ab.`,
      },
    },
    answers: {
      'at-end': {
        short: 'Messbereichsende',
        long: () => 'Der Füllstandssensor steht am Ende seines Messbereichs: Der Füllstand kann dahinter liegen.',
      },
      unheard,
      answering: { short: 'Sensor antwortet', long: () => 'Der Füllstandssensor antwortet auf das, was er sieht.' },
      stuck: {
        short: 'Sensor hängt',
        long: (f) => `Der Füllstandssensor sendet seit ${f.value} genau denselben Wert: Er kann hängen.`,
      },
    },
    air: {
      'echoes-lost': {
        short: 'Werte fehlen',
        long: (f) =>
          `Füllstandswerte fehlen oder springen (${f.value}): Luft in der Flüssigkeit, oder ein Sensor oder Kabel sitzt lose.`,
      },
      'echo-fading': {
        short: 'Echo schwindet',
        long: (f) =>
          `Das Echo hat nur noch ${f.value} seiner üblichen Stärke: Luft in der Flüssigkeit, oder der Sensor sitzt lose.`,
      },
      unheard,
      clear: { short: 'keine Luft', long: () => 'Kein Zeichen von Luft: Die Echos kommen an.' },
    },
    calm: {
      'no-value-yet': tooFew,
      calm: { short: 'ruhig', long: (f) => `Die Oberfläche ist ruhig: Wellen von ${f.value}.` },
      waves: {
        short: 'Wellen',
        long: (f) => `Die Oberfläche bewegt sich: Wellen von ${f.value}, ${f.limit} sind erlaubt.`,
      },
    },
    settled: {
      'no-value-yet': tooFew,
      unclear: {
        short: 'Werte unklar',
        long: () => 'Die neuesten Füllstandswerte fallen aus der Reihe: eine Bewegung oder falsche Echos.',
      },
      overdue: { short: 'Wert überfällig', long: () => 'Der nächste Füllstandswert ist überfällig.' },
      settled: {
        short: 'in Ruhe',
        long: (f) => `Der Füllstand ist zur Ruhe gekommen: höchstens ${f.value} vom Endstand, ${f.limit} sind erlaubt.`,
      },
      changed: { short: 'Füllstand bewegt', long: () => 'Der Füllstand hat sich soeben zu bewegen begonnen.' },
      rising: {
        short: 'Füllstand steigt',
        long: (f) => `Der Füllstand steigt noch: bis zu ${f.value} fehlen, ${f.limit} sind erlaubt.`,
      },
      falling: {
        short: 'Füllstand fällt',
        long: (f) => `Der Füllstand fällt noch: bis zu ${f.value} fehlen, ${f.limit} sind erlaubt.`,
      },
      'too-short': {
        short: 'noch beobachten',
        long: (f) =>
          `Der Füllstand wirkt ruhig, wurde aber zu kurz beobachtet: ${f.value} können noch fehlen, ${f.limit} sind erlaubt.`,
      },
    },
  },

  verdicts: {
    below: 'DARUNTER',
    within: 'INNERHALB',
    above: 'DARÜBER',
    undecided: 'NICHT ZU ENTSCHEIDEN',
    'not-comparable': 'NICHT VERGLICHEN',
  },
  verdictAtTarget: 'am Zielwert',
  verdictSide: (f) => `${f.size} ${f.below ? 'unter' : 'über'} dem Zielwert`,
  verdictFact: (side, f) => `${side}, auf ±${f.uncertainty} sicher; ±${f.tolerance} sind erlaubt.`,
  verdictSure: (f) => `Zu ${f.sure} sicher.`,
  verdictUndecided: (fact) => `Genauer kann dieser Messplatz es nicht sagen: ${fact}`,
  verdictNever: 'So, wie es steht, läge kein Füllstand sicher innerhalb.',
  verdictImprove: (remedy) => `Um mehr zu sagen: ${remedy}.`,
  verdictDoubt: (remedy, component) => `Um mehr zu sagen: ${remedy} (größter Zweifel: ${component}).`,
  moreThan: (share) => `mehr als ${share}`,
  notCompared: {
    'machine-state': 'Die Maschine war in einem anderen Zustand.',
    channels: 'Andere Kanäle haben gemessen. Den Zielwert neu aufnehmen.',
    reference: 'Sie gelten für verschiedene Bezugstemperaturen.',
    compensation: 'Sie wurden auf andere Art auf die Bezugstemperatur gebracht. Den Zielwert neu aufnehmen.',
    calibration: 'Dazwischen wurde ein Messgerät kalibriert. Den Zielwert neu aufnehmen.',
  },

  components: {
    repeatability: { name: 'Wiederholbarkeit', remedy: 'den Füllstand länger beobachten oder beruhigen' },
    drift: { name: 'Drift', remedy: 'warten, bis der Füllstand sich langsamer bewegt' },
    'level resolution': { name: 'Auflösung des Füllstands', remedy: 'den Füllstandssensor feiner auflösen lassen' },
    'level instrument': { name: 'Füllstandssensor', remedy: 'den Füllstandssensor kalibrieren' },
    'temperature resolution': { name: 'Auflösung der Temperatur', remedy: 'das Thermometer feiner auflösen lassen' },
    'temperature instrument': {
      name: 'Thermometer',
      remedy: 'das Thermometer kalibrieren oder näher an der Bezugstemperatur ablesen',
    },
    'stem of the probe': { name: 'Schaft des Fühlers', remedy: 'den Fühler tiefer eintauchen oder den Schaft dämmen' },
    'lag of the probe': {
      name: 'Trägheit des Fühlers',
      remedy: 'warten, bis die Temperatur sich langsamer ändert, oder die Trägheit messen',
    },
    settling: { name: 'Beruhigung', remedy: 'den Füllstand länger beobachten' },
    'compensation slope': {
      name: 'Steigung der Temperaturkorrektur',
      remedy: 'näher an der Bezugstemperatur ablesen oder die Steigung besser kennen',
    },
    chart: { name: 'Kennlinie', remedy: 'näher an der Bezugstemperatur ablesen oder die Kennlinie neu aufnehmen' },
    'tilt of the vessel': {
      name: 'Neigung des Gefäßes',
      remedy: 'das Gefäß waagerecht stellen oder die Neigung messen',
    },
    'temperature of the circuit': {
      name: 'Temperatur des Kreislaufs',
      remedy: 'länger warmlaufen lassen oder dem Kreislauf ein eigenes Thermometer geben',
    },
    'volumes of the vessel': { name: 'Volumen des Gefäßes', remedy: 'das Gefäß mit bekannten Zugaben auslitern' },
    'litres of the circuit': { name: 'Liter im Kreislauf', remedy: 'näher an der Bezugstemperatur ablesen' },
    'expansion of': { name: 'Ausdehnung von', remedy: 'näher an der Bezugstemperatur ablesen' },
    'refitting the sensor': {
      name: 'Neueinbau des Sensors',
      remedy: 'den Sensor eingebaut lassen oder ihm einen Anschlag geben',
    },
    'fitting the sensor anew': {
      name: 'Neueinbau des Sensors',
      remedy: 'den Sensor eingebaut lassen oder ihm einen Anschlag geben',
    },
    'new fluid': {
      name: 'neue Flüssigkeit',
      remedy: 'messen, wie sich die neue Flüssigkeit mit der Temperatur verhält, oder mit derselben auffüllen',
    },
    'target as stated': {
      name: 'Zielwert, wie angegeben',
      remedy: 'den Zielwert einer Ablesung dieses Messplatzes nehmen',
    },
    'speed of sound': {
      name: 'Schallgeschwindigkeit',
      remedy: 'die Schallgeschwindigkeit in der Flüssigkeit selbst kalibrieren',
    },
    'temperature coefficient of the speed of sound': {
      name: 'Temperaturgang der Schallgeschwindigkeit',
      remedy: 'die Schallgeschwindigkeit bei zwei Temperaturen kalibrieren',
    },
    density: { name: 'Dichte', remedy: 'ein bekanntes Volumen der Flüssigkeit wiegen' },
    calibration: { name: 'Kalibrierung', remedy: 'mit einem besseren Normal kalibrieren' },
    'reference of the calibration': {
      name: 'Normal der Kalibrierung',
      remedy: 'mit einem besseren Normal kalibrieren',
    },
    'calibration overdue': { name: 'Kalibrierung überfällig', remedy: 'neu kalibrieren' },
    'beyond the calibrated points': {
      name: 'außerhalb der kalibrierten Punkte',
      remedy: 'über einen weiteren Bereich kalibrieren',
    },
    'zero between its checks': { name: 'Nullpunkt zwischen den Prüfungen', remedy: 'den Nullpunkt öfter prüfen' },
    'resolution of the': { name: 'Auflösung von', remedy: 'feiner auflösen lassen' },
    'thermometer of the circuit': {
      name: 'Thermometer des Kreislaufs',
      remedy: 'das Thermometer des Kreislaufs kalibrieren',
    },
  },
  distributions: {
    normal: 'normalverteilt',
    rectangular: 'rechteckverteilt',
    triangular: 'dreieckverteilt',
    arcsine: 'U-verteilt (schwingend)',
    t: 'aus wenigen Werten',
  },

  refusals: {
    ...alarmsDe.refusals,
    ...jobsDe.refusals,
    'stale-revision': 'Inzwischen hat sich etwas geändert. Neu hinsehen, dann noch einmal fragen.',
    role: 'Diese Rolle darf zusehen, nicht handeln.',
    'not-ready': 'Eine Bedingung fehlt: Der Füllstand ließ sich noch nicht ablesen.',
    'job-open': 'Ein Auftrag ist schon offen. Erst diesen abschließen.',
    'no-job': 'Kein Auftrag ist offen.',
    'not-typed': 'Dieser Wert wird gemessen, nicht eingegeben.',
    'out-of-range': 'Dieser Wert kann nicht sein. Noch einmal hinsehen.',
    'no-such-state': 'Diesen Zustand kennt der Messplatz nicht.',
    'no-tolerance': 'Dieser Messplatz hat keine Toleranz für einen Vergleich.',
    'no-such-reading': 'Diese Ablesung gehört nicht zu den neuesten dieses Auftrags.',
    'nothing-to-accept': 'Kein Befund ist offen geblieben.',
    'not-calm': 'Der Sensor steht auf dem Block noch nicht ruhig. Ein paar Sekunden warten, dann noch einmal fragen.',
    'not-recording': 'Es kann gerade nicht aufgezeichnet werden, also wird nichts genommen.',
  },

  feedErrors: {
    busy: 'Zu viele warten auf eine Antwort. Einen Augenblick warten, dann noch einmal fragen.',
    failed:
      'Auf dem Rechner des Messplatzes ging es schief; sein Protokoll sagt, warum. Vor der nächsten Anfrage die Aufzeichnung ansehen.',
  },
  linkStates: { opening: 'Wird geöffnet', open: 'Verbunden', closed: 'Nicht verbunden' },
  linkReasons: {
    starting: 'Wird geöffnet.',
    connected: 'Verbunden.',
    unplugged: 'Ausgesteckt. Wieder einstecken; es wird von selbst erkannt.',
    'not-found': 'Diesen Anschluss gibt es nicht. Einstecken; „stillwell ports“ zeigt, was da ist.',
    busy: 'Ein anderes Programm benutzt ihn. Das andere Programm schließen.',
    forbidden: 'Zugriff nicht erlaubt. Der Gruppe des Anschlusses beitreten (oft dialout) und neu anmelden.',
    'not-a-device': 'Das ist kein serielles Gerät. Einen Anschluss wählen, den „stillwell ports“ zeigt.',
    'other-device': 'Ein anderes Gerät antwortet hier. Das richtige einstecken, „identify“ in der Platzdatei prüfen.',
    ambiguous: 'Mehrere Anschlüsse passen. In der Platzdatei Seriennummer, „identify“ oder Adresse angeben.',
    refused: 'Die Verbindung wurde abgelehnt. Gerät oder Umsetzer starten; Rechner und Port prüfen.',
    unreachable: 'Die Adresse ist nicht zu erreichen. Rechnername, Kabel und Netz prüfen.',
    'timed-out': 'Keine Antwort in der Zeit. Prüfen, ob das Gerät an und erreichbar ist.',
    'remote-closed': 'Die Gegenseite hat die Verbindung beendet. Es wird von selbst wieder versucht.',
    mute: 'Verbunden, aber stumm. Baudrate und Verdrahtung prüfen.',
    resumed: 'Nach einer Pause dieses Rechners neu geöffnet.',
    stopped: 'Beendet.',
    'io-error': 'Der Anschluss meldet einen Fehler. Anderes Kabel oder anderen Anschluss versuchen.',
    'no-bluetooth': 'Hier gibt es kein Bluetooth.',
    'radio-off': 'Bluetooth ist ausgeschaltet.',
    'not-in-range': 'Das Bluetooth-Gerät ist nicht zu hören. Aufwecken und näher bringen.',
    'link-lost': 'Die Bluetooth-Verbindung ging verloren. Näher bringen, Batterie prüfen.',
    'lacks-value': 'Das Bluetooth-Gerät hat keinen solchen Wert. Die UUIDs in der Platzdatei prüfen.',
  },
  discardReasons: {
    'first-partial': 'Anfang einer Nachricht fehlt',
    'cut-tail': 'vom Verbindungsabbruch abgeschnitten',
    'too-long': 'zu lang für eine Nachricht',
    'no-match': 'passt nicht zum Muster',
    'bad-number': 'keine Zahl',
    'wrong-columns': 'falsche Spaltenzahl',
    empty: 'leer',
    'non-text': 'kein Text',
    checksum: 'Prüfsumme passt nicht',
    unasked: 'Antwort, auf die niemand wartete',
    'no-answer': 'gefragt, keine Antwort',
    'driver-failed': 'Treiber versagte',
    echo: 'eigene Frage zurückgehört',
    'illegal-function': 'abgelehnt: keine solche Funktion',
    'illegal-address': 'abgelehnt: keine solche Adresse',
    'illegal-value': 'abgelehnt: Frage nicht erlaubt',
    'device-failure': 'abgelehnt: Störung im Messgerät',
    'device-busy': 'abgelehnt: Messgerät beschäftigt',
    'gateway-path': 'Umsetzer hat keinen Weg zum Messgerät',
    'gateway-target': 'hinter dem Umsetzer keine Antwort',
  },
  floods: 'Sendet mehr, als die Platzdatei sagt, und mehr, als behalten werden kann.',
  quality: { good: '', suspect: 'zweifelhaft', bad: 'nicht brauchbar' },
  qualityReasons: {
    'out-of-range': 'außerhalb des Bereichs',
    outlier: 'fällt aus der Reihe',
    sentinel: 'ein Wert, der für eine Störung steht',
    'echo-weak': 'Echo zu schwach',
    'echo-lost': 'kein Echo',
    'second-echo': 'doppelter Weg: zweites Echo',
    'ring-down': 'so nah, wie der Sensor nachschwingt',
    reported: 'das Messgerät meldet es',
    'broken-loop': 'kein Strom: Leitung unterbrochen, oder der Messumformer meldet einen Ausfall',
    'failure-current': 'der Messumformer meldet einen Ausfall',
    'open-circuit': 'Fühler oder Leitung unterbrochen',
    'short-circuit': 'Fühler oder Leitung kurzgeschlossen',
    ambiguous: 'zwei Temperaturen geben dieses Signal',
    'no-context': 'ein Wert, mit dem gerechnet wird, fehlt oder ist alt',
    'context-out-of-range': 'ein Wert, mit dem gerechnet wird, liegt außerhalb des Bereichs',
  },
};
