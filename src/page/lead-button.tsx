/**
 * The one thing to do now, on a large button and on one key: Space, Enter, or what a foot switch types. The key works
 * while nothing else has the focus, so that it never does two things at once, and not while it is held down.
 */
import { useEffect, useRef } from 'preact/hooks';
import { settings } from './settings.ts';

interface Props {
  readonly words: string;
  /** Drawn as the thing to do; only then the key does it. */
  readonly due: boolean;
  readonly disabled: boolean;
  readonly onDo: () => void;
}

export function LeadButton({ words, due, disabled, onDo }: Props) {
  const latest = useRef({ due, onDo });
  latest.current = { due: due && !disabled, onDo };
  useEffect(() => {
    const pressed = (event: KeyboardEvent) => {
      if (!leads(event.key) || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
      if (taken(event.target) || !latest.current.due) return;
      event.preventDefault();
      latest.current.onDo();
    };
    addEventListener('keydown', pressed);
    return () => removeEventListener('keydown', pressed);
  }, []);
  return (
    <button type="button" class={due ? 'take ready' : 'take'} disabled={disabled} onClick={onDo}>
      {words}
    </button>
  );
}

/** Whether this key stands for the leading action. */
export function leads(key: string): boolean {
  const { footKey } = settings();
  return key === ' ' || key === 'Enter' || (footKey !== '' && key === footKey);
}

/** What has the focus uses the key itself. */
function taken(target: EventTarget | null): boolean {
  return (
    target instanceof Element && target.closest('a, button, input, select, textarea, summary, [tabindex]') !== null
  );
}
