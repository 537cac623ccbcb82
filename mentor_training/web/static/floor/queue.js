// The observations that wait on this phone, each bound to the observer who made it.

import { read, seal, settled, unseal, write } from "./store.js";

export const HELD_FOR = 10_000;

const bound = (row) => `${row.observer}/${row.key}`;
const rows = () => read("queue", (store) => settled(store.getAll()));

// In the queue at once, so that nothing is lost when the page goes; held back for as long as it can be undone.
export const add = async (look, title) => {
  const row = { key: look.key, observer: look.observer, held: Date.now() + HELD_FOR, rejected: false };
  row.body = await seal({ look, title, reasons: [] }, bound(row));
  await write("queue", (store) => settled(store.put(row)));
};

export const waiting = async (observer) => {
  const own = (await rows()).filter((row) => row.observer === observer);
  const opened = await Promise.all(own.map(async (row) => ({ ...row, ...(await unseal(row.body, bound(row))) })));
  return opened.sort((one, other) => one.look.made_at.localeCompare(other.look.made_at));
};

export const counts = async (observer) => {
  const all = await rows();
  const own = all.filter((row) => row.observer === observer);
  const rejected = own.filter((row) => row.rejected).length;
  return { unsent: own.length - rejected, rejected, others: all.length - own.length };
};

export const remove = (key) => write("queue", (store) => settled(store.delete(key)));

// Only while it is still held: what may be on its way is not taken back.
export const takeBack = async (key) =>
  write("queue", async (store) => {
    const row = await settled(store.get(key));
    const inTime = Boolean(row) && row.held > Date.now();
    if (inTime) {
      store.delete(key);
    }
    return inTime;
  });

export const release = (observer) =>
  write("queue", async (store) => {
    for (const row of await settled(store.getAll())) {
      if (row.observer === observer && row.held > 0) {
        store.put({ ...row, held: 0 });
      }
    }
  });

const change = async (row, changed) => {
  const body = await seal({ look: row.look, title: row.title, reasons: row.reasons, ...changed.body }, bound(row));
  const kept = { key: row.key, observer: row.observer, held: 0, rejected: changed.rejected, body };
  await write("queue", (store) => settled(store.put(kept)));
};

export const reject = (row, reasons) => change(row, { rejected: true, body: { reasons } });

// Sent again with what is known now: the observer has read why it was not taken.
export const sendAgain = (row, knownAt) =>
  change(row, { rejected: false, body: { reasons: [], look: { ...row.look, known_at: knownAt } } });
