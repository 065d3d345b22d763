/**
 * The states of an alarm and the way from one to another, after the alarm state transition diagram of ANSI/ISA-18.2-2016
 * (taken over as IEC 62682), from memory, without its latched states and without "out of service": nothing here latches,
 * and an alarm is taken out of service by taking it out of the bench file.
 *
 * standard   here
 * NORM       normal
 * UNACK      unacknowledged
 * ACKED      acknowledged
 * RTNUN      returned-unacknowledged
 * SHLVD      shelved
 * DSUPR      suppressed
 */
export const ALARM_STATES = [
  'normal',
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'shelved',
  'suppressed',
] as const;
export type AlarmState = (typeof ALARM_STATES)[number];

export const ALARM_CHANGES = ['active', 'returned', 'acknowledged', 'shelved', 'unshelved', 'suppressed'] as const;
export type AlarmChange = (typeof ALARM_CHANGES)[number];

/** An alarm as it stands: its state, and whether its condition holds, which goes on being known while it is shelved. */
export interface AlarmStands {
  readonly stands: AlarmState;
  readonly active: boolean;
}

export const NORMAL: AlarmStands = Object.freeze({ stands: 'normal', active: false });

export function afterChange({ stands, active }: AlarmStands, change: AlarmChange): AlarmStands {
  switch (change) {
    case 'active':
      if (stands === 'shelved') return { stands, active: true };
      // An alarm that is told again while it lasts needs no second acknowledgement.
      return { stands: stands === 'acknowledged' ? stands : 'unacknowledged', active: true };
    case 'returned':
      if (stands === 'shelved') return { stands, active: false };
      return {
        stands:
          stands === 'unacknowledged' || stands === 'returned-unacknowledged' ? 'returned-unacknowledged' : 'normal',
        active: false,
      };
    case 'acknowledged':
      if (stands === 'unacknowledged') return { stands: 'acknowledged', active };
      return stands === 'returned-unacknowledged' ? NORMAL : { stands, active };
    case 'shelved':
      return { stands: 'shelved', active };
    case 'unshelved':
      if (stands !== 'shelved') return { stands, active };
      return active ? { stands: 'unacknowledged', active } : NORMAL;
    case 'suppressed':
      return { stands: stands === 'shelved' ? stands : 'suppressed', active: false };
  }
}
