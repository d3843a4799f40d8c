/**
 * The phone's own database: one store for each kind of thing that must outlive the page.
 * A store is added by a new version in `STORES`; what an older page wrote stays.
 */

const NAME = "walks";

/** Each store with its key, by the version that brought it. */
const STORES = [
  ["people", { keyPath: "person" }],
  ["walks", { keyPath: "id" }],
  ["photos", { keyPath: "sha256" }],
  ["lists", { keyPath: "key" }],
];

/** @returns {Promise<IDBDatabase>} */
function opened() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, STORES.length);
    request.onupgradeneeded = ({ oldVersion }) => {
      for (const [store, options] of STORES.slice(oldVersion)) {
        request.result.createObjectStore(store, options);
      }
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
  });
}

/**
 * Run one transaction over one store; resolves once it is on the disk, with the result of the request that `work` makes.
 * @param {string} store
 * @param {IDBTransactionMode} mode
 * @param {(store: IDBObjectStore) => IDBRequest} work
 * @returns {Promise<any>}
 */
export async function within(store, mode, work) {
  const database = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(store, mode, { durability: "strict" });
      const request = work(transaction.objectStore(store));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}
