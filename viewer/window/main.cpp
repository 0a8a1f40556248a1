#include <QApplication>
#include <clocale>
#include <cstdio>
#include <string_view>

#include "viewer/draw/type.h"
#include "viewer/window/style.h"
#include "viewer/window/workbench.h"

int main(int argc, char** argv) {
  if (argc > 1 && (std::string_view(argv[1]) == "--help" || std::string_view(argv[1]) == "-h")) {
    std::puts("leeward-window [DIR]: opens the window on the study in DIR, or where one was the last time");
    return 0;
  }
  // Qt ends the program with advice to reinstall it when there is no screen; the reason is simpler.
  if (qEnvironmentVariableIsEmpty("DISPLAY") && qEnvironmentVariableIsEmpty("WAYLAND_DISPLAY") && qEnvironmentVariableIsEmpty("QT_QPA_PLATFORM")) {
    std::fprintf(stderr, "leeward-window: there is no display to open a window on (DISPLAY is not set). Start it on a desktop, or use the leeward command.\n");
    return 4;
  }
  leeward::draw::quietQt();
  QApplication application(argc, argv);
  std::setlocale(LC_NUMERIC, "C");  // numbers are written one way whatever the desktop's language
  QApplication::setApplicationName("Leeward");
  if (auto typeface = leeward::draw::checkTypeface(); !typeface) std::fprintf(stderr, "leeward-window: %s\n", typeface.problem().text().c_str());
  leeward::window::applyStyle(application, leeward::window::remember().look);
  leeward::window::Workbench workbench;
  workbench.show();
  if (application.arguments().size() > 1) workbench.openStudy(application.arguments().at(1).toStdString());
  else workbench.reopen();
  return QApplication::exec();
}
