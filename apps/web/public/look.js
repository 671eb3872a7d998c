// Runs before the first paint, so that a chosen look or direction never flashes the other one.
(function () {
  var root = document.documentElement;
  try {
    var look = localStorage.getItem('frostmoot.look');
    if (look === 'light' || look === 'dark') root.setAttribute('data-look', look);
    if (localStorage.getItem('frostmoot.contrast') === 'more') root.setAttribute('data-contrast', 'more');
    var language = localStorage.getItem('frostmoot.language');
    if (language) {
      root.lang = language;
      root.dir = language === 'ar' ? 'rtl' : 'ltr';
    }
  } catch (_) {
    // Storage refused: the system's own look is used.
  }
})();
