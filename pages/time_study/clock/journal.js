// Journal: presses kept on this device before they are shown, and sent until the book has them.

const JOURNAL = "coreset-clock";
const RETRY_MS = [500, 1000, 2000, 4000];
const REFUSED_RETRY_MS = 30000;
const BATCH = 200;
const KEPT_MS = 14 * 86400e3;

function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function done(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });
}

class Journal {
  // One for the whole page: all clocks on it write here, and it sends what any of them left behind.
  constructor() {
    this.listeners = new Set();
    this.unsent = 0;
    this.refusal = "";
    this.late = new Map();
    this.failures = 0;
    this.sending = false;
    this.timer = 0;
    this.opened = this.open();
    window.addEventListener("online", () => this.send());
    document.addEventListener("visibilitychange", () => this.send());
    window.addEventListener("beforeunload", (event) => {
      if (this.unsent > 0) { event.preventDefault(); event.returnValue = ""; }
    });
  }

  async open() {
    const request = indexedDB.open(JOURNAL, 1);
    request.onupgradeneeded = () => {
      const presses = request.result.createObjectStore("presses", { keyPath: ["device", "seq"] });
      presses.createIndex("unsent", "unsent");
      request.result.createObjectStore("sittings", { keyPath: "device" });
    };
    const database = await asked(request);
    database.onversionchange = () => database.close();
    return database;
  }

  async sessions(caseId, study) {
    const database = await this.opened;
    const all = await asked(database.transaction("sittings").objectStore("sittings").getAll());
    return all.filter((s) => s.case === caseId && s.study === study)
      .sort((a, b) => (b.order || 0) - (a.order || 0) || b.begun - a.begun);
  }

  async presses(device) {
    const database = await this.opened;
    const range = IDBKeyRange.bound([device, 0], [device, Infinity]);
    return asked(database.transaction("presses").objectStore("presses").getAll(range));
  }

  async keep(session, press) {
    // Resolves once the press is on the disk: only then may it be shown as taken.
    const database = await this.opened;
    const transaction = database.transaction(["presses", "sittings"], "readwrite", { durability: "strict" });
    const finished = done(transaction);
    transaction.objectStore("presses").add({ ...press, device: session.device, unsent: 1,
      case: session.case, study: session.study });
    if (press.kind === "start") {
      // Numbered in the order in which they begin: a wall clock may be set back.
      const sessions = transaction.objectStore("sittings");
      sessions.getAll().onsuccess = (event) => {
        session.order = 1 + Math.max(0, ...event.target.result.map((s) => s.order || 0));
        sessions.put(session);
      };
    }
    if (press.kind === "stop") transaction.objectStore("sittings").put({ ...session, stopped: true });
    await finished;
    this.unsent += 1;
    this.tell();
    this.send();
  }

  async note(session) {
    const database = await this.opened;
    const transaction = database.transaction("sittings", "readwrite", { durability: "strict" });
    transaction.objectStore("sittings").put(session);
    await done(transaction);
  }

  tell() { for (const listener of this.listeners) listener(); }

  async waiting() {
    const database = await this.opened;
    const index = database.transaction("presses").objectStore("presses").index("unsent");
    return asked(index.getAll(IDBKeyRange.only(1)));
  }

  async send() {
    if (this.sending) { this.again = true; return; }
    this.sending = true;
    clearTimeout(this.timer);
    let wait = 0;
    try {
      do { this.again = false; wait = await this.sendAll(); } while (this.again && wait === 0);
    } catch (error) {
      wait = RETRY_MS[Math.min(this.failures++, RETRY_MS.length - 1)];
    } finally {
      this.sending = false;
      this.tell();
    }
    if (wait) this.timer = setTimeout(() => this.send(), wait);
  }

  async sendAll() {
    const waiting = await this.waiting();
    this.unsent = waiting.length;
    const groups = new Map();
    for (const press of waiting) {
      const name = JSON.stringify([press.case, press.study, press.device]);
      if (!groups.has(name)) groups.set(name, []);
      groups.get(name).push(press);
    }
    let wait = 0;
    let refusal = "";
    for (const presses of groups.values()) {
      presses.sort((a, b) => a.seq - b.seq);
      for (let from = 0; from < presses.length; from += BATCH) {
        const answer = await this.post(presses.slice(from, from + BATCH));
        if (answer.retry) wait = wait || answer.retry;
        if (answer.words) { refusal = answer.words; break; }
      }
    }
    this.refusal = refusal;
    if (!wait) this.failures = 0;
    return wait;
  }

  async post(presses) {
    const { case: caseId, study, device } = presses[0];
    const bare = presses.map(({ unsent, apart, case: c, study: s, device: d, ...press }) => press);
    const answer = await fetch("/api/presses", {
      method: "POST", headers: { "Content-Type": "application/json" }, signal: AbortSignal.timeout(10000),
      body: JSON.stringify({ case: caseId, study, device, presses: bare }),
    });
    const found = await answer.json().catch(() => ({}));
    if (answer.ok) { await this.mark(device, found.stored, found.apart || ""); return {}; }
    if (answer.status === 503 && found.error)  // the book takes nothing now: why is told, and it is tried again
      return { retry: RETRY_MS[Math.min(this.failures++, RETRY_MS.length - 1)], words: found.error };
    if (answer.status === 429 || answer.status >= 500) throw new Error(found.error || String(answer.status));
    return { retry: REFUSED_RETRY_MS, words: found.error || String(answer.status) };
  }

  tellLate(device, seq, words) {
    // Presses that came after the signature, by device, with the words of the server.
    const late = this.late.get(device) || { seqs: new Set(), words };
    late.seqs.add(seq);
    this.late.set(device, late);
  }

  async mark(device, seqs, apart) {
    const database = await this.opened;
    const transaction = database.transaction("presses", "readwrite");
    const finished = done(transaction);
    const store = transaction.objectStore("presses");
    for (const seq of seqs) {
      const request = store.get([device, seq]);
      request.onsuccess = () => { if (request.result) store.put({ ...request.result, unsent: 0, apart }); };
      if (apart) this.tellLate(device, seq, apart);
    }
    await finished;
    this.unsent = Math.max(0, this.unsent - seqs.length);
    this.tell();
  }

  async tidy() {
    // Sessions that are stopped, stored and old are no longer needed here.
    const database = await this.opened;
    const all = await asked(database.transaction("sittings").objectStore("sittings").getAll());
    for (const session of all.filter((s) => s.stopped && Date.now() - s.begun > KEPT_MS)) {
      const presses = await this.presses(session.device);
      if (presses.some((press) => press.unsent)) continue;
      const transaction = database.transaction(["presses", "sittings"], "readwrite");
      transaction.objectStore("presses").delete(IDBKeyRange.bound([session.device, 0], [session.device, Infinity]));
      transaction.objectStore("sittings").delete(session.device);
      await done(transaction);
    }
  }
}

function journal() {
  // The journal outlives the widget: it goes on sending while another page of the app is shown.
  const name = Symbol.for("coreset.journal");
  globalThis[name] = globalThis[name] || new Journal();
  return globalThis[name];
}
