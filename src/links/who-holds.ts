/** What a technician needs to know of a port that does not open: who has it, and what lets one in. */
import { readdir, readFile, readlink, stat } from 'node:fs/promises';
import { messageOf } from './door-parts.ts';

/**
 * Who has the device open, as far as this user may see it: "held by logger (process 4711)".
 *
 * @param real path without symbolic links
 */
export async function holderOf(real: string): Promise<string> {
  if (process.platform !== 'linux') return `\`lsof ${real}\` names the program that holds it`;
  const pids = (await readdir('/proc').catch(() => [])).filter((name) => /^\d+$/.test(name));
  let unseen = false;
  const holders: string[] = [];
  for (const pid of pids) {
    const files = await readdir(`/proc/${pid}/fd`).catch((error: unknown) => {
      unseen ||= /EACCES|EPERM/.test(messageOf(error));
      return [];
    });
    const targets = await Promise.all(files.map((file) => readlink(`/proc/${pid}/fd/${file}`).catch(() => '')));
    if (targets.includes(real)) holders.push(pid);
  }
  const own = String(process.pid);
  const others = holders.filter((pid) => pid !== own);
  if (others.length > 0) return `held by ${(await Promise.all(others.map(nameOf))).join(' and ')}`;
  if (unseen) return `held by a program of another user: \`sudo fuser -v ${real}\` names it`;
  return holders.includes(own)
    ? 'held by this Stillwell itself: two instruments at one port?'
    : 'its holder is not seen';
}

async function nameOf(pid: string): Promise<string> {
  const name = await readFile(`/proc/${pid}/comm`, 'utf8').catch(() => '');
  return `${name.trim() === '' ? 'a program' : name.trim()} (process ${pid})`;
}

const READ_WRITE = 6;

/** "/dev/ttyUSB0 belongs to root and group dialout, mode 660: …": what opens it to this user. */
export async function accessWords(path: string): Promise<string> {
  try {
    const { uid, gid, mode } = await stat(path);
    const [owner, group] = await Promise.all([nameIn('/etc/passwd', uid), nameIn('/etc/group', gid)]);
    const bits = (mode & 0o777).toString(8).padStart(3, '0');
    return `${path} belongs to ${owner} and group ${group}, mode ${bits}: ${remedy(gid, group, mode)}`;
  } catch (error) {
    return messageOf(error);
  }
}

function remedy(gid: number, group: string, mode: number): string {
  const groupMay = ((mode >> 3) & READ_WRITE) === READ_WRITE;
  if (groupMay && gid !== 0 && process.getgroups?.().includes(gid) !== true) {
    return `\`sudo usermod -aG ${group} $USER\` and a new login let you in; a service needs SupplementaryGroups=${group}`;
  }
  return 'a udev rule with GROUP="dialout", MODE="0660" for this device, and membership of that group, let you in';
}

async function nameIn(file: string, id: number): Promise<string> {
  const lines = (await readFile(file, 'utf8').catch(() => '')).split('\n');
  return lines.find((line) => line.split(':')[2] === String(id))?.split(':')[0] ?? String(id);
}
