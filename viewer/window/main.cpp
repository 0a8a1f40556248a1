#include <QApplication>
#include <clocale>
#include <cstdio>

#include "viewer/draw/type.h"
#include "viewer/window/style.h"
#include "viewer/window/workbench.h"

int main(int argc, char** argv) {
  leeward::draw::quietQt();
  QApplication application(argc, argv);
  std::setlocale(LC_NUMERIC, "C");  // numbers are written one way whatever the desktop's language
  QApplication::setApplicationName("Leeward");
  if (auto typeface = leeward::draw::checkTypeface(); !typeface) std::fprintf(stderr, "leeward-window: %s\n", typeface.problem().text().c_str());
  leeward::window::applyStyle(application);
  leeward::window::Workbench workbench;
  workbench.show();
  if (application.arguments().size() > 1) workbench.openStudy(application.arguments().at(1).toStdString());
  return QApplication::exec();
}
