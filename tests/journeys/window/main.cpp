#include <QApplication>
#include <QStandardPaths>
#include <gtest/gtest.h>

#include "viewer/draw/type.h"
#include "viewer/window/style.h"

int main(int argc, char** argv) {
  testing::InitGoogleTest(&argc, argv);
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  leeward::draw::quietQt();
  QStandardPaths::setTestModeEnabled(true);
  QApplication application(argc, argv);
  leeward::window::applyStyle(application);
  return RUN_ALL_TESTS();
}
