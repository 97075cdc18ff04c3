/* The code of a scanned address, put into its field. It stands behind the hash, so it was in no request; and it goes
   from the address bar, where it would stay in the history. */

const code = decodeURIComponent(location.hash.slice(1));
const field = document.querySelector("[name=code]");

if (code && field && !field.value) {
  field.value = code;
  history.replaceState(null, "", location.pathname);
  document.querySelector("[name=name]").focus();
}
