/** This screen: language, brightness, units, sound, foot switch; joining with another device; keeping it as an app. */
import { useEffect, useId, useState } from 'preact/hooks';
import type { ViewProps } from '../app.tsx';
import { AwakeWords } from '../awake.tsx';
import { InstallPanel } from '../install-panel.tsx';
import { JoinPanel } from '../join-panel.tsx';
import { CHOICES, change, settings } from '../settings.ts';
import { soundAsleep } from '../sound.ts';
import { LANGUAGES, WORDS } from '../words.ts';

export function ScreenView({ desk }: ViewProps) {
  const words = WORDS.screen;
  const now = settings();
  const switched = { on: words.on, off: words.off };
  const languages = { auto: words.auto, en: LANGUAGES.en.language, de: LANGUAGES.de.language };
  return (
    <div class="columns">
      <section class="settings" aria-labelledby="screen-title">
        <h2 id="screen-title">{words.title}</h2>
        <p class="aside">{words.kept}</p>
        <Choice of="language" title={words.language} names={languages} />
        <Choice of="theme" title={words.theme} names={words.themes} />
        <Choice of="temperature" title={words.temperature} names={{ C: '°C', F: '°F' }} />
        <Choice of="length" title={words.length} names={{ mm: 'mm', in: 'in' }} />
        <Choice of="volume" title={words.volume} names={{ L: 'L', qt: 'qt' }} />
        <Choice of="sound" title={words.sound} names={switched} />
        <p class="aside">{words.soundWhat}</p>
        {now.sound === 'on' && soundAsleep() && <p class="aside">{words.soundAsleep}</p>}
        <FootSwitch />
        <h3>{words.awake}</h3>
        <AwakeWords />
      </section>
      <div>
        <JoinPanel />
        <InstallPanel />
        {desk.view.hello !== null && <p class="aside">{words.software(desk.view.hello.software)}</p>}
      </div>
    </div>
  );
}

/** One of a few: large targets side by side, one of them chosen. */
function Choice({
  of,
  title,
  names,
}: {
  readonly of: keyof typeof CHOICES;
  readonly title: string;
  /** A name for each value, in the order in which they are offered. */
  readonly names: Readonly<Record<string, string>>;
}) {
  const name = useId();
  return (
    <fieldset class="choice" data-choice={of}>
      <legend>{title}</legend>
      {CHOICES[of].map((value) => (
        <label key={value}>
          <input
            type="radio"
            name={name}
            value={value}
            checked={settings()[of] === value}
            onChange={() => change({ [of]: value })}
          />
          <span>{names[value]}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** A foot switch types a key: which one is learned by pressing it. */
function FootSwitch() {
  const words = WORDS.screen;
  const [learning, setLearning] = useState(false);
  const { footKey } = settings();
  useEffect(() => {
    if (!learning) return;
    const pressed = (event: KeyboardEvent) => {
      event.preventDefault();
      event.stopPropagation();
      if (event.key !== 'Escape') change({ footKey: event.key });
      setLearning(false);
    };
    addEventListener('keydown', pressed, { capture: true });
    return () => removeEventListener('keydown', pressed, { capture: true });
  }, [learning]);
  return (
    <>
      <h3>{words.foot}</h3>
      <p role="status">{learning ? words.footNow : footKey === '' ? words.footNone : words.footKey(footKey)}</p>
      <p class="buttons">
        <button type="button" onClick={() => setLearning(!learning)} aria-pressed={learning}>
          {words.footLearn}
        </button>
        {footKey !== '' && (
          <button type="button" onClick={() => change({ footKey: '' })}>
            {words.footForget}
          </button>
        )}
      </p>
    </>
  );
}
