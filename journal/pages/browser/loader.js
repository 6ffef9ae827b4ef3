// Loads the modules without our server's route (Jupyter, a notebook opened directly). Each module text becomes a blob
// URL, after the modules that it imports.

const blobAddress = (text) => URL.createObjectURL(new Blob([text], { type: "text/javascript" }));

// `texts` are the modules by file name; an import names another as "./name.js". Resolves with the module `first`.
export async function loadModules(texts, first, addressOf = blobAddress) {
  const addresses = new Map();
  const place = (name) => {
    if (addresses.has(name)) {
      if (addresses.get(name) === null) throw new Error(`${name} imports itself by way of others`);
      return addresses.get(name);
    }
    addresses.set(name, null);
    let text = texts[name];
    for (const other of Object.keys(texts)) {
      const specifier = `"./${other}"`;
      if (text.includes(specifier)) text = text.replaceAll(specifier, `"${place(other)}"`);
    }
    addresses.set(name, addressOf(text));
    return addresses.get(name);
  };
  const loaded = await import(place(first));
  for (const address of addresses.values()) if (address.startsWith("blob:")) URL.revokeObjectURL(address);
  return loaded;
}
