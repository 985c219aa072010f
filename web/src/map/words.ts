// Figures as people read them: the same rules as crownhold_print::wording.

const whole = new Intl.NumberFormat("en-US", { maximumFractionDigits: 0 });
const tenth = new Intl.NumberFormat("en-US", { maximumFractionDigits: 1 });

/** Whole from ten up, one decimal below. */
export function figure(value: number): string {
  return (Math.abs(value) >= 9.95 ? whole : tenth).format(value);
}

/** A chance: never "0 %" or "100 %", which a finite number of draws cannot show. */
export function chance(p: number): string {
  if (p < 0.005) return "<1\u00a0%";
  if (p > 0.995) return ">99\u00a0%";
  return percent(p);
}

export function percent(share: number): string {
  return `${Math.round(share * 100)}\u00a0%`;
}

export function counted(n: number, one: string, many: string): string {
  return `${whole.format(n)} ${n === 1 ? one : many}`;
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
