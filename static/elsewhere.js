/* A label that was printed before schedules came in pages leads to its part's place on the one page there was. */

const part = location.hash.match(/^#part-(.+)$/)?.[1];
if (part && !document.getElementById(`part-${decodeURIComponent(part)}`)) location.replace(`?part=${part}`);
