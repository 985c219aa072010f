// form[data-solve]: the plan is made in the background while the page shows how far it is. Without script the form
// simply posts and the server answers when it is done.
//
// The POST answers {progress, stop?} with two addresses. `progress` is a stream of events: messages
// {phase, share?} with share from 0 to 1, and at the end "done" {href} or "failed" {problems}.

import { el } from "../dom";

interface Started {
  progress: string;
  stop?: string;
}
interface Problem {
  what: string;
  expected?: string;
  remedy?: string;
}

const HEADERS = { "X-Requested-With": "crownhold", Accept: "application/json" };

class Run {
  private readonly bar = el("progress", { "aria-label": "Progress" });
  private readonly phase = el("p", { role: "status" });
  private readonly stop = el("button", { type: "button" }, "Stop");
  private readonly box = el("div", { class: "solve" }, this.bar, this.phase, this.stop);
  private events: EventSource | null = null;

  constructor(private readonly form: HTMLFormElement) {
    form.append(this.box);
    form.setAttribute("aria-busy", "true");
    this.enable(false);
    this.say("Starting …");
    this.stop.hidden = true;
  }

  async start(body: URLSearchParams): Promise<void> {
    try {
      const answer = await fetch(this.form.action, { method: "POST", headers: HEADERS, body });
      const told = (await answer.json()) as Started & { problems?: Problem[] };
      if (!answer.ok) return this.fail(told.problems ?? [{ what: `The server answered ${answer.status}.` }]);
      this.follow(told);
    } catch {
      this.fail([{ what: "The desk does not answer.", remedy: "Is the program still running?" }]);
    }
  }

  private follow({ progress, stop }: Started): void {
    const events = new EventSource(progress);
    this.events = events;
    events.onmessage = (event: MessageEvent<string>) => {
      const { phase, share } = JSON.parse(event.data) as { phase: string; share?: number };
      this.say(phase);
      if (share === undefined) this.bar.removeAttribute("value");
      else this.bar.value = share;
    };
    events.addEventListener("done", (event) => {
      this.close();
      location.assign((JSON.parse((event as MessageEvent<string>).data) as { href: string }).href);
    });
    events.addEventListener("failed", (event) => {
      this.fail((JSON.parse((event as MessageEvent<string>).data) as { problems: Problem[] }).problems);
    });
    events.onerror = () => {
      if (events.readyState === EventSource.CLOSED) this.fail([{ what: "The connection to the desk was lost." }]);
    };
    if (stop) this.offerStop(stop);
  }

  private offerStop(url: string): void {
    this.stop.hidden = false;
    this.stop.addEventListener("click", () => {
      this.stop.disabled = true;
      this.say("Stopping; the best plan so far is kept …");
      void fetch(url, { method: "POST", headers: HEADERS });
    });
  }

  private say(text: string): void {
    this.phase.textContent = text;
  }

  private fail(problems: Problem[]): void {
    this.close();
    this.bar.remove();
    this.stop.remove();
    this.phase.setAttribute("role", "alert");
    const line = (p: Problem): string => [p.what, p.expected, p.remedy].filter(Boolean).join(" ");
    this.phase.replaceChildren(...problems.map((p) => el("span", { class: "problem" }, line(p))));
  }

  private close(): void {
    this.events?.close();
    this.form.removeAttribute("aria-busy");
    this.enable(true);
  }

  private enable(on: boolean): void {
    for (const button of this.form.querySelectorAll<HTMLButtonElement>("button[type=submit], button:not([type])")) {
      button.disabled = !on;
    }
  }
}

export function solveForms(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-solve]")) {
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      form.querySelector(".solve")?.remove();
      // Read before the buttons are disabled, for the pressed one is among them.
      const data = new FormData(form, event.submitter) as unknown as Record<string, string>;
      const body = new URLSearchParams(data);
      void new Run(form).start(body);
    });
  }
}
