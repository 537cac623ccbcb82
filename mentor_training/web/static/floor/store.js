// What a phone keeps, in its own database, sealed with AES-GCM.
//
// The key is made here, cannot be read out by any script, and lies in the same database. So it guards what is kept
// against whoever looks into the database's files or into a copy of its rows. It does not guard against somebody who
// holds the phone unlocked and opens this page, nor against a script of this site, nor against someone who takes the
// whole browser profile and knows how to make a browser use it. For that there is the phone's own lock.
// Where the browser offers no encryption (no HTTPS), the same is kept unsealed.

const NAME = "observing";
const KEY = "seal";

const settled = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

let opened;

const open = () => {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("keys");
      request.result.createObjectStore("notes");
      request.result.createObjectStore("queue", { keyPath: "key" });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return opened;
};

// One transaction of one store; `act` may decide on what it reads, since nothing else gets in between.
const inStore = async (name, mode, act) => {
  const transaction = (await open()).transaction(name, mode, { durability: "strict" });
  const finished = new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error);
  });
  const [result] = await Promise.all([act(transaction.objectStore(name)), finished]);
  return result;
};

export const read = (name, act) => inStore(name, "readonly", act);
export const write = (name, act) => inStore(name, "readwrite", act);
export { settled };

const sealingKey = async () => {
  const found = await read("keys", (store) => settled(store.get(KEY)));
  if (found) {
    return found;
  }
  const made = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
  // Another page may have been quicker; the first key stays.
  return write("keys", async (store) => {
    const earlier = await settled(store.get(KEY));
    if (!earlier) {
      store.put(made, KEY);
    }
    return earlier ?? made;
  });
};

const bytes = (text) => new TextEncoder().encode(text);

// `bound` is what the sealed text belongs to: moved to another row, it does not open.
export const seal = async (value, bound) => {
  const text = JSON.stringify(value);
  if (!globalThis.crypto?.subtle) {
    return { plain: text };
  }
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const way = { name: "AES-GCM", iv, additionalData: bytes(bound) };
  return { iv, sealed: await crypto.subtle.encrypt(way, await sealingKey(), bytes(text)) };
};

export const unseal = async (kept, bound) => {
  if ("plain" in kept) {
    return JSON.parse(kept.plain);
  }
  const way = { name: "AES-GCM", iv: kept.iv, additionalData: bytes(bound) };
  return JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt(way, await sealingKey(), kept.sealed)));
};

// Notes: the floor, and the marks of an observation that is being written.
export const keepNote = async (name, value) => {
  const sealed = await seal(value, name);
  await write("notes", (store) => settled(store.put(sealed, name)));
};

export const note = async (name) => {
  const kept = await read("notes", (store) => settled(store.get(name)));
  return kept ? unseal(kept, name) : null;
};

export const dropNote = (name) => write("notes", (store) => settled(store.delete(name)));
export const dropNotes = () => write("notes", (store) => settled(store.clear()));
