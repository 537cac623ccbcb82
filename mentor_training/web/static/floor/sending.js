// Sends what waits, one by one, for whoever is signed in, and never as anybody else.

import { reject, remove, waiting } from "./queue.js";

const PATIENCE = 20_000;

// "offline", "signed-out", "not-allowed" or "trouble": why nothing more can be sent now.
export class Hindered extends Error {}

export const ask = async (address, more = {}) => {
  let answer;
  try {
    answer = await fetch(address, {
      credentials: "same-origin", cache: "no-store", redirect: "manual", signal: AbortSignal.timeout(PATIENCE), ...more,
    });
  } catch {
    throw new Hindered("offline");
  }
  if (answer.type === "opaqueredirect") {
    throw new Hindered("signed-out");
  }
  if (answer.status === 403) {
    throw new Hindered("not-allowed");
  }
  return answer;
};

// An answer that breaks off is no answer: it will be asked for again.
export const jsonOf = async (answer) => {
  try {
    return await answer.json();
  } catch {
    throw new Hindered("trouble");
  }
};

const sendOne = async (addresses, token, row) => {
  const answer = await ask(addresses.send, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": token },
    body: JSON.stringify({ ...row.look, device_now: new Date().toISOString() }),
  });
  const said = await jsonOf(answer);
  if (answer.ok && said.status === "stored") {
    await remove(row.key);
    return { title: row.title, words: said.words };
  }
  if (said.status === "rejected") {
    await reject(row, said.reasons);
    return null;
  }
  throw new Hindered("trouble");
};

const sendAll = async (addresses) => {
  const { token, observer } = await jsonOf(await ask(addresses.token));
  const due = (await waiting(observer)).filter((row) => !row.rejected && row.held <= Date.now());
  const sent = [];
  let state = "";
  for (const row of due) {
    try {
      const one = await sendOne(addresses, token, row);
      sent.push(...(one ? [one] : []));
    } catch (hindered) {
      state = hindered.message;
      // One that the program cannot take now keeps the others from nothing; without a network there is no use.
      if (state !== "trouble") {
        break;
      }
    }
  }
  return { state, sent };
};

// Two pages of one phone take turns; sent twice, the program would count it once all the same.
export const send = async (addresses) => {
  const go = async () => {
    try {
      return await sendAll(addresses);
    } catch (hindered) {
      if (!(hindered instanceof Hindered)) {
        throw hindered;
      }
      return { state: hindered.message, sent: [] };
    }
  };
  return navigator.locks ? navigator.locks.request("observations", go) : go();
};
